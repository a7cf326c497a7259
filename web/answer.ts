import { useEffect, useRef, useState } from 'preact/hooks'
import { ask } from './api.js'

interface Answer<T> {
  /** what was last answered; kept while it is asked anew */
  value: T | null
  /** why there is no answer, in words; empty when there is */
  problem: string
  /** asks again now */
  again: () => void
}

/**
 * Asks the service when a part of the page appears or what it asks for changes, and again every so often.
 *
 * @param put   asks; must not change what it asks for without `about` changing
 * @param about what is asked for, as text
 * @param every ms between questions; null to ask once
 */
export const useAnswer = <T>(
  put: (signal: AbortSignal) => Promise<T>,
  about: string,
  every: number | null = null,
): Answer<T> => {
  const [answer, setAnswer] = useState<{ about: string; value: T | null; problem: string }>({
    about,
    value: null,
    problem: '',
  })
  const [count, setCount] = useState(0)
  const latest = useRef(put)
  latest.current = put

  useEffect(() => {
    const abort = new AbortController()
    let timer: ReturnType<typeof setTimeout> | undefined
    const next = async () => {
      try {
        const value = await latest.current(abort.signal)
        if (!abort.signal.aborted) setAnswer({ about, value, problem: '' })
      } catch (error) {
        if (abort.signal.aborted) return
        const problem = error instanceof Error ? error.message : String(error)
        setAnswer(before => ({ about, value: before.about === about ? before.value : null, problem }))
      }
      if (every !== null && !abort.signal.aborted) timer = setTimeout(next, every)
    }
    void next()
    return () => {
      abort.abort()
      clearTimeout(timer)
    }
  }, [about, every, count])

  return {
    value: answer.about === about ? answer.value : null,
    problem: answer.about === about ? answer.problem : '',
    again: () => setCount(n => n + 1),
  }
}

/**
 * Asks the service at an address, as useAnswer does.
 *
 * @param anew it is asked anew when this changes, too
 */
export const useAddress = <T>(address: string, every: number | null = null, anew = ''): Answer<T> =>
  useAnswer(signal => ask<T>(address, { signal }), `${address} ${anew}`, every)
