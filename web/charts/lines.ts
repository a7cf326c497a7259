import type { GrowthSeries, NodeTemperatures } from '../../server/http/schemas/answers.js'
import { withGaps } from './span.js'

export interface LinePoint {
  at: number
  /** SI; NaN where nothing is known */
  value: number
  /** its band, SI; without one it is the value itself */
  low?: number
  high?: number
}

export const hole = (at: number): LinePoint => ({ at, value: Number.NaN })

/** A node's temperature as it was believed then as a line, °C. */
export const temperatureLine = ({ points }: NodeTemperatures): LinePoint[] =>
  withGaps(
    points.map(({ at, temperature, lowest, highest }) => ({ at, value: temperature, low: lowest, high: highest })),
    hole,
    180_000,
  )

/** Says of which nodes or axes a chart shows what another place's sensors told for a while; empty when of none. */
export const replacedHint = (names: readonly string[]): string =>
  names.length === 0 ? '' : ` ${names.join(', ')}: for a while taken from another place’s sensor, and less sure.`

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
  for (const { value, low = value, high = value } of points) {
    if (Number.isNaN(value)) continue
    last = value
    if (low < lowest) lowest = low
    if (high > highest) highest = high
  }
  return Number.isNaN(last) ? null : { last, lowest, highest }
}
