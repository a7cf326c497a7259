import type { TrustChange } from '../../core/state.js'
import type { Span } from './span.js'

/** A stretch of time in which a sensor was not believed; it may last on (`to` is Infinity). */
export interface Doubted extends Span {
  /** what had been taken from it until then turned out false, so that who followed it began anew */
  misled: boolean
}

/**
 * When each sensor was not believed, by its id.
 *
 * A stretch begins when the sensor was found suspect or lost, not when its fault began: until it was found, verdicts
 * were drawn from it. It ends when the sensor had earned its trust back. One that was only late left nothing on record:
 * it has no readings meanwhile, and was believed with the next one. Where nothing is on record (a database from before
 * trust was recorded), everything was believed.
 *
 * @param changes in the order in which they were found
 */
export const doubtedStretches = (changes: readonly TrustChange[]): Map<string, Doubted[]> => {
  const bySensor = new Map<string, Doubted[]>()
  // found while the clock was ahead: no later than what was found after it
  const latest = new Map<string, number>()
  const moments = changes
    .toReversed()
    .map(({ sensor, at }) => {
      const moment = Math.min(at, latest.get(sensor) ?? at)
      latest.set(sensor, moment)
      return moment
    })
    .reverse()
  changes.forEach(({ sensor, trust, basis }, i) => {
    const stretches = bySensor.get(sensor) ?? []
    bySensor.set(sensor, stretches)
    const open = stretches.at(-1)?.to === Number.POSITIVE_INFINITY ? stretches.at(-1) : undefined
    if (trust === 'ok') {
      if (open) open.to = moments[i]!
      return
    }
    const misled = basis !== null && basis.kind !== 'reading' && basis.kind !== 'earning'
    if (open) open.misled ||= misled
    else stretches.push({ from: moments[i]!, to: Number.POSITIVE_INFINITY, misled })
  })
  return bySensor
}

/**
 * What is left of a span without the stretches in which a sensor was not believed.
 *
 * @param stretches of the sensor, in order of time
 * @param grid ms; where a stretch cuts into the span, what is left begins and ends at whole multiples of this: a stored
 *   mean of so much time then holds no reading that was not believed. 1 cuts exactly
 */
export const believedParts = (stretches: readonly Doubted[], { from, to }: Span, grid: number): Span[] => {
  const parts: Span[] = []
  let begin = from
  for (const stretch of stretches) {
    if (stretch.to <= begin) continue
    if (stretch.from >= to) break
    const end = Math.floor(stretch.from / grid) * grid
    if (end > begin) parts.push({ from: begin, to: end })
    begin = Math.ceil(stretch.to / grid) * grid
  }
  if (begin < to) parts.push({ from: begin, to })
  return parts
}

/** @returns whether a sensor was believed at a moment, ms */
export const wasBelieved = (stretches: readonly Doubted[], at: number): boolean =>
  !stretches.some(({ from, to }) => from <= at && at < to)

/** @returns whether a sensor was not believed for more than half of an interval */
export const wasMostlyDoubted = (stretches: readonly Doubted[], { from, to }: Span): boolean => {
  const overlap = stretches.reduce(
    (sum, each) => sum + Math.max(0, Math.min(each.to, to) - Math.max(each.from, from)),
    0,
  )
  return 2 * overlap > to - from
}
