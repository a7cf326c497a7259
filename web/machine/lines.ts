import type { GrowthSeries, Series } from '../../server/http/schemas/answers.js'
import { withGaps } from './span.js'

export interface LinePoint {
  at: number
  /** SI; NaN where nothing is known */
  value: number
  low: number
  high: number
}

const hole = (at: number): LinePoint => ({ at, value: Number.NaN, low: Number.NaN, high: Number.NaN })

/**
 * A stored series as a line, °C.
 *
 * @param interval s, of the sensor
 */
export const seriesLine = ({ points }: Series, interval: number): LinePoint[] =>
  withGaps(
    points.map(({ at, mean, min, max }) => ({ at, value: mean, low: min, high: max })),
    hole,
    interval * 3000,
  )

/** Growth of an axis at the work as a line, with its range over the travel. m */
export const growthLine = ({ points }: GrowthSeries): LinePoint[] =>
  withGaps(
    points.map(({ at, atZero, atWork, atTravel }) =>
      atZero === null || atWork === null || atTravel === null
        ? hole(at)
        : {
            at,
            value: atWork,
            low: Math.min(atZero, atWork, atTravel),
            high: Math.max(atZero, atWork, atTravel),
          },
    ),
    hole,
    180_000,
  )

/** the last known value, the lowest and the highest of a line; null when it has none */
export const extremes = (points: readonly LinePoint[]): { last: number; lowest: number; highest: number } | null => {
  let last = Number.NaN
  let lowest = Number.POSITIVE_INFINITY
  let highest = Number.NEGATIVE_INFINITY
  for (const { value, low, high } of points) {
    if (Number.isNaN(value)) continue
    last = value
    if (low < lowest) lowest = low
    if (high > highest) highest = high
  }
  return Number.isNaN(last) ? null : { last, lowest, highest }
}
