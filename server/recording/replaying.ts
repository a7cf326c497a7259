import { setTimeout as sleep } from 'node:timers/promises'
import type { Contents, RecordedReading } from './contents.js'
import { payloadsOf, type Sending } from './payload.js'
import type { Publisher } from './publisher.js'

/** Readings in order of time; three plain arrays, because a recording can have millions. */
export interface Sequence {
  sensors: readonly RecordedReading['sensor'][]
  /** index into `sensors` */
  of: readonly number[]
  /** ms */
  at: readonly number[]
  /** °C, or 1 and 0 */
  value: readonly number[]
}

/**
 * Gathers a recording's readings between two moments, in order of time whatever the file's order. Sensors without a
 * topic of their own are left out.
 *
 * @param from ms, included
 * @param to   ms, not included
 */
export const gather = async (
  groups: AsyncIterable<readonly RecordedReading[]>,
  contents: Contents,
  from: number,
  to: number,
): Promise<Sequence> => {
  const index = new Map<RecordedReading['sensor'], number>()
  const of: number[] = []
  const at: number[] = []
  const value: number[] = []
  for await (const group of groups)
    for (const reading of group) {
      if (reading.at < from || reading.at >= to || reading.sensor.topic === undefined) continue
      const known = index.get(reading.sensor) ?? index.size
      index.set(reading.sensor, known)
      of.push(known)
      at.push(reading.at)
      value.push(reading.value)
    }
  const sensors = [...index.keys()]
  if (contents.rising) return { sensors, of, at, value }
  const order = at.map((_, i) => i).sort((a, b) => at[a]! - at[b]!)
  const sorted = (list: readonly number[]) => order.map(i => list[i]!)
  return { sensors, of: sorted(of), at: sorted(at), value: sorted(value) }
}

interface ReplayOptions {
  /** times as fast as it happened; Infinity: as fast as the broker takes it */
  speed: number
  /** shift the times so that none is ahead of the moment it is sent at, and the last is that very moment */
  shifted: boolean
  signal: AbortSignal
  /** ms; the recording's own time, which may go slower than `speed`: nothing is sent before it */
  now?: () => number
  /** part of it published, 0..1; called often */
  onPart: (part: number) => void
}

/** ms; waits are cut into pieces, so that a clock that is set does not leave it waiting */
const longestWait = 1000

/** @param until ms that are left to wait, as far as is known */
const waitWhile = async (until: () => number, signal: AbortSignal): Promise<void> => {
  for (let left = until(); left > 0 && !signal.aborted; left = until())
    await sleep(Math.min(Math.ceil(left), longestWait), undefined, { signal }).catch(() => undefined)
}

/**
 * Publishes a recording to its sensors' topics, once through, in order of time and at its own pace times `speed`.
 * Readings of one topic and moment go in one message where the payload's form lets them, as they came.
 *
 * @returns when all of it is acknowledged, or the signal came
 */
export const replay = async (sequence: Sequence, publisher: Publisher, options: ReplayOptions): Promise<void> => {
  const { speed, shifted, signal, now, onPart } = options
  const { sensors, of, at, value } = sequence
  const first = at[0]
  const last = at.at(-1)
  if (first === undefined || last === undefined) return
  const shift = shifted ? Date.now() + (last - first) / speed - last : 0
  const begun = performance.now()

  for (let i = 0; i < at.length && !signal.aborted; ) {
    const moment = at[i]!
    const messages = new Map<string, Sending[]>()
    for (; i < at.length && at[i] === moment; i++) {
      const sensor = sensors[of[i]!]!
      const sending = { sensor, at: Math.floor(moment + shift), value: value[i]! }
      const topic = sensor.topic!
      const together = messages.get(topic)
      if (together) together.push(sending)
      else messages.set(topic, [sending])
    }
    const left = () =>
      now ? (Math.floor(moment) - now()) / speed : begun + (moment - first) / speed - performance.now()
    await waitWhile(left, signal)
    for (const [topic, together] of messages)
      for (const payload of payloadsOf(together)) {
        await publisher.room()
        if (signal.aborted) return
        publisher.publish(topic, payload)
      }
    onPart(i / at.length)
  }
  await publisher.idle()
}
