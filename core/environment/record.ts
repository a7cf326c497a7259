import { z } from 'zod'
import { numberOrNull, time } from '../quantities.js'
import { mean, standardDeviation } from '../statistics/index.js'

/** What was believed of a sensor in an interval of an even grid. */
export interface Interval {
  /** °C; mean, lowest and highest reading */
  mean: number
  min: number
  max: number
  /** readings */
  count: number
}

const figure = numberOrNull('°C; null when nothing is known')
export const statistics = z.object({
  minimum: figure.describe('°C; lowest reading'),
  maximum: figure.describe('°C; highest reading'),
  mean: figure.describe(
    '°C; of the means of the intervals: each part of the period counts alike, however often a sensor reports',
  ),
  standardDeviation: figure.describe(
    'K; of the means of the intervals, by one less than there are: nothing quicker is in it',
  ),
  readings: z.number(),
  known: z.number().describe('intervals in which something was believed'),
  intervals: z.number().describe('of the period'),
})
/** What a sensor measured over a period, in few figures. */
type Statistics = z.infer<typeof statistics>

const finite = (value: number): number | null => (Number.isFinite(value) ? value : null)

/**
 * Minimum, maximum, mean and standard deviation of a sensor over a period.
 *
 * @param intervals of the period; null where nothing was believed
 */
export const intervalStatistics = (intervals: readonly (Interval | null)[]): Statistics => {
  const known = intervals.filter(each => each !== null)
  const means = known.map(each => each.mean)
  return {
    minimum: finite(known.reduce((least, { min }) => Math.min(least, min), Number.POSITIVE_INFINITY)),
    maximum: finite(known.reduce((most, { max }) => Math.max(most, max), Number.NEGATIVE_INFINITY)),
    mean: finite(mean(means)),
    standardDeviation: finite(standardDeviation(means)),
    readings: known.reduce((sum, { count }) => sum + count, 0),
    known: known.length,
    intervals: intervals.length,
  }
}

export const gap = z.object({ from: time, to: time, why: z.enum(['no readings', 'not believed']) })
/** A stretch of whole intervals of which nothing can be told. */
type Gap = z.infer<typeof gap>

/**
 * Where nothing is known of a sensor within a period.
 *
 * @param intervals of the period; null where nothing was believed
 * @param start     ms; where the first begins
 * @param width     ms
 * @param doubted   whether the sensor was not believed in a stretch, or in a part of it
 */
export const gapsIn = (
  intervals: readonly (Interval | null)[],
  start: number,
  width: number,
  doubted: (span: { from: number; to: number }) => boolean,
): Gap[] => {
  const gaps: Gap[] = []
  intervals.forEach((interval, i) => {
    if (interval) return
    const from = start + i * width
    const to = from + width
    const why = doubted({ from, to }) ? 'not believed' : 'no readings'
    const before = gaps.at(-1)
    if (before && before.to === from && before.why === why) before.to = to
    else gaps.push({ from, to, why })
  })
  return gaps
}
