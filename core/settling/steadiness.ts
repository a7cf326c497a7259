import { median } from '../statistics/index.js'

/** makes a median absolute value comparable with the standard deviation of a normal distribution */
const normal = 1.4826

/**
 * How far a temperature's mean over the next while ordinarily lies from its present value. A body that follows it feels
 * that mean, not the swings on the way. From the median, so that rare events (a door left open) do not count as ordinary.
 *
 * @param values evenly spaced, °C; NaN where nothing is known
 * @param ahead spacings over which the mean is taken, 1 or more
 * @returns standard deviation of the change, K; NaN with fewer than ten known
 */
export const ordinaryChange = (values: readonly number[], ahead: number): number => {
  const changes: number[] = []
  for (let i = 0; i + ahead < values.length; i++) {
    let sum = 0
    for (let k = 1; k <= ahead; k++) sum += values[i + k]!
    const change = Math.abs(sum / ahead - values[i]!)
    if (!Number.isNaN(change)) changes.push(change)
  }
  return changes.length < 10 ? Number.NaN : normal * median(changes)
}
