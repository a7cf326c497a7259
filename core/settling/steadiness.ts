import { median } from '../statistics/index.js'

/** makes a median absolute value comparable with the standard deviation of a normal distribution */
const normal = 1.4826

/**
 * How much a temperature ordinarily changes within a time: from the median absolute change, so that rare events (a door
 * left open) do not count as ordinary.
 *
 * @param values evenly spaced, °C; NaN where nothing is known
 * @param lag in spacings, 1 or more
 * @returns standard deviation of the change, K; NaN with fewer than ten pairs
 */
export const ordinaryChange = (values: readonly number[], lag: number): number => {
  const changes: number[] = []
  for (let i = lag; i < values.length; i++) {
    const change = Math.abs(values[i]! - values[i - lag]!)
    if (!Number.isNaN(change)) changes.push(change)
  }
  return changes.length < 10 ? Number.NaN : normal * median(changes)
}
