import type { Decoded } from './decoder.js'
import type { Reading, Refusal } from './reading.js'

/** ms; a group is committed when nothing has come for this long */
const quiet = 5
/** groups are looked at every `quiet` ms, at most this often before they are committed: 50 ms in all */
const looks = 10

export interface GroupSteps {
  /** stores all or nothing; @returns the readings that were new; @throws when nothing could be stored */
  commit(readings: readonly Reading[], refusals: readonly Refusal[]): Reading[]
  /** tells the broker, in the order of arrival; only after the commit */
  acknowledge(ids: readonly number[]): void
  /** last, with what is new */
  committed(fresh: readonly Reading[]): void
  /** the commit failed: the group is dropped here and stays at the broker, which must send it again */
  failed(error: unknown): void
}

export interface Group {
  /** @param id the packet's, to be acknowledged; undefined for one that needs no acknowledgement (QoS 0) */
  add(decoded: Decoded, id: number | undefined): void
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
  let readings: Reading[] = []
  let refusals: Refusal[] = []
  let ids: number[] = []
  let messages = 0
  let timer: NodeJS.Timeout | undefined

  const flush = (): void => {
    clearTimeout(timer)
    timer = undefined
    if (messages === 0) return
    const group = { readings, refusals, ids }
    readings = []
    refusals = []
    ids = []
    messages = 0
    let fresh: Reading[]
    try {
      fresh = steps.commit(group.readings, group.refusals)
    } catch (error) {
      steps.failed(error)
      return
    }
    steps.acknowledge(group.ids)
    steps.committed(fresh)
  }

  const look = (seen: number, left: number): void => {
    if (messages === seen || left === 0) {
      flush()
      return
    }
    const now = messages
    timer = setTimeout(() => look(now, left - 1), quiet)
  }

  return {
    add(decoded, id) {
      readings.push(...decoded.readings)
      refusals.push(...decoded.refusals)
      if (id !== undefined) ids.push(id)
      messages += 1
      if (messages >= most) flush()
      else timer ??= setTimeout(() => look(1, looks - 1), quiet)
    },
    flush,
    size: () => messages,
  }
}
