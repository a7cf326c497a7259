import type { Decoded } from './decoder.js'
import type { Reading, Refusal } from './reading.js'
import { reasons } from './reasons.js'

/** ms; a group is committed when nothing has come for this long */
const quiet = 5
/** groups are looked at every `quiet` ms, at most this often before they are committed: 50 ms in all */
const looks = 10
/** readings and refusals committed together: one message can hold thousands, and the commit holds up everything else */
const mostParts = 10_000
const sampleLength = 200

export interface GroupSteps {
  /** stores all or nothing; @returns the readings that were new; @throws when nothing could be stored */
  commit(readings: readonly Reading[], refusals: readonly Refusal[]): Reading[]
  /** whether a commit may have failed because of what was to be stored; no trouble of the store or its disk is that */
  isOfMessage(error: unknown): boolean
  /** tells the broker, in the order of arrival; only after the commit */
  acknowledge(ids: readonly number[]): void
  /** last, with what is new */
  committed(fresh: readonly Reading[]): void
  /** the commit failed: the group is dropped here and stays at the broker, which must send it again */
  failed(error: unknown): void
}

interface Message {
  decoded: Decoded
  id: number | undefined
  topic: string
}

const unstorable = ({ decoded, topic }: Message, error: unknown): Refusal => ({
  at: decoded.readings[0]?.receivedAt ?? 0,
  topic: topic.slice(0, sampleLength),
  reason: reasons.broke,
  sample:
    `${error instanceof Error ? error.message : String(error)}: ${JSON.stringify(decoded.readings.slice(0, 3))}`.slice(
      0,
      sampleLength,
    ),
})

export interface Group {
  /** @param id the packet's, to be acknowledged; undefined for one that needs no acknowledgement (QoS 0) */
  add(decoded: Decoded, id: number | undefined, topic?: string): void
  flush(): void
  /** messages waiting for their commit */
  size(): number
}

/**
 * Collects messages and commits them together: one commit for as many as come within 50 ms, sooner when `most` are
 * there or when the stream pauses, so that a lone reading waits no longer than 5 ms and a broker that sends a few and
 * waits for their acknowledgement is not kept waiting.
 */
export const createGroup = (steps: GroupSteps, most: number): Group => {
  let waiting: Message[] = []
  let parts = 0
  let timer: NodeJS.Timeout | undefined

  const commit = (messages: readonly Message[]): Reading[] => {
    const readings: Reading[] = []
    const refusals: Refusal[] = []
    for (const { decoded } of messages) {
      for (const reading of decoded.readings) readings.push(reading)
      for (const refusal of decoded.refusals) refusals.push(refusal)
    }
    return steps.commit(readings, refusals)
  }

  /** One that cannot be stored is refused; where not even that can be recorded, the store is to blame. @throws */
  const commitAlone = (message: Message): Reading[] => {
    try {
      return commit([message])
    } catch (error) {
      if (!steps.isOfMessage(error)) throw error
      return commit([{ ...message, decoded: { readings: [], refusals: [unstorable(message, error)] } }])
    }
  }

  const finish = (messages: readonly Message[], fresh: readonly Reading[]): void => {
    steps.acknowledge(messages.flatMap(({ id }) => (id === undefined ? [] : [id])))
    steps.committed(fresh)
  }

  const flush = (): void => {
    clearTimeout(timer)
    timer = undefined
    if (waiting.length === 0) return
    const messages = waiting
    waiting = []
    parts = 0
    try {
      let fresh: Reading[]
      try {
        fresh = commit(messages)
      } catch (error) {
        if (!steps.isOfMessage(error)) throw error
        for (const message of messages) finish([message], commitAlone(message))
        return
      }
      finish(messages, fresh)
    } catch (error) {
      steps.failed(error)
    }
  }

  const look = (seen: number, left: number): void => {
    if (waiting.length === seen || left === 0) {
      flush()
      return
    }
    const now = waiting.length
    timer = setTimeout(() => look(now, left - 1), quiet)
  }

  return {
    add(decoded, id, topic = '') {
      waiting.push({ decoded, id, topic })
      parts += decoded.readings.length + decoded.refusals.length
      if (waiting.length >= most || parts >= mostParts) flush()
      else timer ??= setTimeout(() => look(1, looks - 1), quiet)
    },
    flush,
    size: () => waiting.length,
  }
}
