import { medianReordering } from './median.js'

/**
 * Slope of a line through points by the median of all pairwise slopes: a few bad points do not move it.
 *
 * @param x in any unit; pairs with equal x are left out
 * @param y same length as x
 * @returns slope, unit of y per unit of x; NaN with fewer than two different x
 * @see Sen, P. K. (1968), J. Am. Stat. Assoc. 63, 1379
 */
export const theilSenSlope = (x: readonly number[], y: readonly number[]): number => {
  const slopes = new Float64Array((x.length * (x.length - 1)) / 2)
  let pairs = 0
  for (let i = 0; i < x.length; i++) {
    for (let j = i + 1; j < x.length; j++) {
      const run = x[j]! - x[i]!
      if (run !== 0) slopes[pairs++] = (y[j]! - y[i]!) / run
    }
  }
  return medianReordering(slopes.subarray(0, pairs))
}
