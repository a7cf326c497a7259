import type { Doubted } from './believed.js'
import type { Span } from './span.js'

/**
 * What a sensor told that says a state, and how long each state stood: until the sensor told the next, and no longer than `stands`
 * or until it was found lost.
 *
 * @param points  in order of time, ms
 * @param doubted stretches in which it was not believed, in order of time. What it told in one counts for nothing but for the last:
 *                that may be what ended it, and stands from then on
 * @param stands  ms
 */
export const toldStates = (
  points: readonly { at: number; mean: number }[],
  doubted: readonly Doubted[],
  stands: number,
): (Span & { value: number })[] =>
  points.flatMap(({ at, mean }, i) => {
    const next = points[i + 1]?.at ?? Number.POSITIVE_INFINITY
    const from = doubted.find(each => each.from <= at && at < each.to)?.to ?? at
    const lost = doubted.find(each => each.from > at)?.from ?? Number.POSITIVE_INFINITY
    const to = Math.min(next, at + stands, lost)
    return from < to ? [{ from, to, value: mean }] : []
  })
