import type { Machine, WorkClass } from '../../core/shop.js'
import type { ClassState, ReadyTime } from '../../core/state.js'
import type { HeldState } from '../../simulators/index.js'
import { firstWithin, jobErrorsAlong, type SizeTruth } from './truth.js'

const MINUTE = 60
const HOUR = 3600

/** s; ready times are looked for so far ahead: finely where waits are judged, coarsely beyond */
export const courseHorizons: readonly number[] = [
  ...Array.from({ length: (12 * HOUR) / (5 * MINUTE) + 1 }, (_, i) => i * 5 * MINUTE),
  ...Array.from({ length: (16 * HOUR) / (30 * MINUTE) }, (_, i) => 12 * HOUR + (i + 1) * 30 * MINUTE),
]

/** min; a machine that is not ready by then if conditions hold counts as ready then, so the error is at least that */
export const latestTruth = 24 * 60

/** Whether a ready time is something to wait for, and not only a waiting time that counts down. */
export const waits = ({ verdict, reasons }: ClassState): boolean =>
  verdict === 'settling' && reasons[0]?.kind !== 'waiting'

/** A ready time as it was found at a moment, beside the true one; minutes from that moment. */
export interface ReadySample {
  earliest: number
  likely: number
  /** null: later than the horizon */
  latest: number
  /** null when it would not become ready within a day */
  true: number | null
  /** the true error was within the share already */
  already: boolean
}

/**
 * What a ready time is worth, be it named or not. The true moment is the first from which the true error of a job
 * begun then stays within the share for ten minutes, if the conditions of the last five minutes hold.
 *
 * @param now ms
 * @param course of the machine, at `courseHorizons`
 * @param zero what was true at its datum
 */
export const readySample = (
  ready: ReadyTime,
  now: number,
  machine: Machine,
  workClass: WorkClass,
  course: () => readonly HeldState[],
  partAlpha: Record<string, number>,
  zero: SizeTruth,
): ReadySample => {
  const minutes = (at: number) => Math.max(0, at - now) / 60_000
  const { ahead, error } = jobErrorsAlong(machine.axes, workClass, course(), partAlpha, zero)
  const wait = 600
  const first = firstWithin(ahead, error, workClass.share * workClass.tolerance, wait)
  const found = first === null ? null : first / 60
  return {
    earliest: minutes(ready.earliest),
    likely: minutes(ready.likely),
    latest: minutes(ready.latest),
    true: found === null || found > latestTruth ? null : found,
    already: first === 0,
  }
}
