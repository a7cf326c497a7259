import { useEffect, useRef, useState } from 'preact/hooks'
import type { RunAnswer, RunEvent } from '../../core/spindle/index.js'
import { ask, machinePath, post, Refused } from '../api.js'
import { now } from '../live/state.js'
import { recall, remember } from '../preferences.js'

/** ms between looks at what another phone may have added, and between attempts to send */
const every = 5000

/** without the key and the time that it gets here */
type NewEvent = RunEvent extends infer Event ? (Event extends RunEvent ? Omit<Event, 'key' | 'at'> : never) : never

interface Pending {
  run: number
  events: RunEvent[]
}

const storageKey = (machine: string) => `spindle-run ${machine}`

/** What was pressed and has not reached the service: kept in this browser until it has. */
const recallPending = (machine: string): Pending | null => {
  try {
    return JSON.parse(recall(storageKey(machine)) || 'null') as Pending | null
  } catch {
    return null
  }
}

const newKey = (): string =>
  Array.from(crypto.getRandomValues(new Uint8Array(9)), byte => byte.toString(36).padStart(2, '0')).join('')

export const serviceTime = (): number => now.peek() ?? Date.now()

/**
 * The guided test that goes on at a machine: what the service knows of it, and what waits to be sent. A press counts at
 * once, with the time at which it was pressed; a lost network delays nothing but its sending.
 */
export const useRun = (machine: string) => {
  const [answer, setAnswer] = useState<RunAnswer | null>(null)
  const [pending, setPending] = useState<Pending | null>(() => recallPending(machine))
  const [problem, setProblem] = useState('')
  const waiting = useRef(pending)
  const sending = useRef(false)

  const keep = (next: Pending | null) => {
    waiting.current = next
    remember(storageKey(machine), next ? JSON.stringify(next) : '')
    setPending(next)
  }

  const look = async (): Promise<void> => {
    if (sending.current) return
    sending.current = true
    let failed = false
    try {
      const sent = waiting.current
      if (sent && sent.events.length > 0) {
        const path = machinePath(machine, `spindle/run/${sent.run}/events`)
        setAnswer(await post<RunAnswer>(path, { events: sent.events }))
        const keys = new Set(sent.events.map(({ key }) => key))
        const left = (waiting.current?.events ?? []).filter(({ key }) => !keys.has(key))
        keep(left.length > 0 ? { run: sent.run, events: left } : null)
      } else setAnswer(await ask<RunAnswer>(machinePath(machine, 'spindle/run')))
      setProblem('')
    } catch (error) {
      failed = true
      setProblem(error instanceof Error ? error.message : String(error))
      if (error instanceof Refused && error.status === 404 && waiting.current) {
        // the test has ended meanwhile, on another phone: what waited has no place any more
        const lost = waiting.current.events.filter(({ kind }) => kind !== 'step').length
        keep(null)
        setProblem(`The test was ended elsewhere; ${lost} of what was entered here came too late for it.`)
      }
    } finally {
      sending.current = false
    }
    // what was pressed while the last was on its way
    if (!failed && waiting.current) void look()
  }

  useEffect(() => {
    void look()
    const timer = setInterval(() => void look(), every)
    const back = () => void look()
    window.addEventListener('online', back)
    document.addEventListener('visibilitychange', back)
    return () => {
      clearInterval(timer)
      window.removeEventListener('online', back)
      document.removeEventListener('visibilitychange', back)
    }
  }, [machine])

  const run = answer?.run ?? null
  return {
    answer,
    run,
    /** the service's, and what waits */
    events: run ? [...answer!.events, ...(pending?.run === run.id ? pending.events : [])] : [],
    waiting: pending?.events.length ?? 0,
    problem,
    look,
    add(event: NewEvent) {
      if (!run) return
      const whole = { ...event, key: newKey(), at: serviceTime() } as RunEvent
      keep({ run: run.id, events: [...(waiting.current?.events ?? []), whole] })
      void look()
    },
    began: (begun: RunAnswer) => setAnswer(begun),
  }
}
export type Run = ReturnType<typeof useRun>
