import { z } from 'zod'
import { time } from '../quantities.js'

export const worstWindowSchema = z.object({
  change: z.number().describe("highest minus lowest value in it, in the values' unit"),
  from: time,
  to: time.describe(
    'ms since 1970 UTC; both extremes lie between these, the window’s length apart or, at the period’s beginning, less',
  ),
  lowestAt: time,
  highestAt: time,
})
/** The window of a given length in which a quantity changed most. */
export type WorstWindow = z.infer<typeof worstWindowSchema>

/**
 * The largest change of a quantity within any window of a length: highest minus lowest, over all windows.
 *
 * Exact for the samples given, in one pass: the samples of a window that can still become its highest (lowest) are kept
 * in falling (rising) order, so each enters and leaves once.
 *
 * @param times  ms, rising
 * @param values as many; NaN where nothing is known, which then does not count
 * @param length ms, above 0; samples exactly this far apart are in one window
 * @returns the first of the worst windows; null when no value is known
 * @throws RangeError when a length is not above 0 or the lists differ in length
 * @see ISO 230-3:2020, environmental temperature variation error (ETVE): the range of drift over the time asked for.
 *   Lemire, D. (2006), Streaming maximum-minimum filter, Nordic Journal of Computing 13, 328 (from memory)
 */
export const worstWindow = (
  times: readonly number[],
  values: readonly number[],
  length: number,
): WorstWindow | null => {
  if (times.length !== values.length) throw new RangeError('as many values as times are needed')
  if (!(length > 0)) throw new RangeError('a window needs a length above 0')
  const highest: number[] = []
  const lowest: number[] = []
  let highHead = 0
  let lowHead = 0
  let first: number | null = null
  let worst: WorstWindow | null = null
  for (let i = 0; i < times.length; i++) {
    const value = values[i]!
    if (!Number.isFinite(value)) continue
    const at = times[i]!
    first ??= at
    while (highest.length > highHead && values[highest.at(-1)!]! <= value) highest.pop()
    highest.push(i)
    while (lowest.length > lowHead && values[lowest.at(-1)!]! >= value) lowest.pop()
    lowest.push(i)
    while (times[highest[highHead]!]! < at - length) highHead++
    while (times[lowest[lowHead]!]! < at - length) lowHead++
    const high = highest[highHead]!
    const low = lowest[lowHead]!
    const change = values[high]! - values[low]!
    if (!worst || change > worst.change)
      worst = { change, from: Math.max(first, at - length), to: at, lowestAt: times[low]!, highestAt: times[high]! }
  }
  return worst
}

/**
 * Highest minus lowest of what lies between two moments, both included.
 *
 * @param times  ms
 * @param values as many; NaN does not count
 * @returns in the values' unit; NaN when nothing is known there
 */
export const swingBetween = (times: readonly number[], values: readonly number[], from: number, to: number): number => {
  let lowest = Number.POSITIVE_INFINITY
  let highest = Number.NEGATIVE_INFINITY
  for (let i = 0; i < times.length; i++) {
    const value = values[i]!
    if (times[i]! < from || times[i]! > to || !Number.isFinite(value)) continue
    if (value < lowest) lowest = value
    if (value > highest) highest = value
  }
  return highest >= lowest ? highest - lowest : Number.NaN
}
