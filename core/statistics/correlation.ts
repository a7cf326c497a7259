import { sameLength } from './same-length.js'
import { mean } from './spread.js'
import { studentBeyond } from './student-t.js'

export interface Correlation {
  /** −1 to 1; NaN when x or y does not vary */
  r: number
  /** two-sided probability of an r this far from zero without any relation; NaN with fewer than three pairs */
  probability: number
}

/**
 * Pearson's correlation of pairs.
 *
 * @param x any unit
 * @param y same length as x, any unit
 * @throws RangeError when x and y differ in length
 * @see Fisher, R. A. (1915), Biometrika 10, 507 (the probability, by Student's t)
 */
export const correlation = (x: ArrayLike<number>, y: ArrayLike<number>): Correlation => {
  const count = sameLength('a correlation', x, y)
  const meanX = mean(x)
  const meanY = mean(y)
  let xx = 0
  let xy = 0
  let yy = 0
  for (let i = 0; i < count; i++) {
    xx += (x[i]! - meanX) ** 2
    xy += (x[i]! - meanX) * (y[i]! - meanY)
    yy += (y[i]! - meanY) ** 2
  }
  const r = Math.min(1, Math.max(-1, xy / Math.sqrt(xx * yy)))
  const free = count - 2
  return { r, probability: free > 0 ? studentBeyond(r * Math.sqrt(free / (1 - r * r)), free) : Number.NaN }
}

/**
 * Correlation of an evenly sampled series with itself a number of samples later.
 *
 * @param lag whole samples, 0 or more
 * @returns −1 to 1; NaN when the values do not vary or are not more than the lag
 * @see NIST StRD, univariate summary statistics (its definition)
 */
export const autocorrelation = (values: ArrayLike<number>, lag = 1): number => {
  if (values.length <= lag) return Number.NaN
  const middle = mean(values)
  let together = 0
  let alone = 0
  for (let i = 0; i < values.length; i++) {
    alone += (values[i]! - middle) ** 2
    if (i >= lag) together += (values[i]! - middle) * (values[i - lag]! - middle)
  }
  return together / alone
}
