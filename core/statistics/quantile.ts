/**
 * Quantile of a sample, with straight lines between its sorted values: the smallest is that of 0, the largest that of 1.
 *
 * @param values in any order, none NaN
 * @param part   0..1
 * @returns in the unit of the values; NaN for none
 * @see Hyndman, R. J. & Fan, Y. (1996), The American Statistician 50, 361, definition 7
 */
export const quantile = (values: readonly number[], part: number): number => {
  if (values.length === 0) return Number.NaN
  const sorted = [...values].sort((a, b) => a - b)
  const index = part * (sorted.length - 1)
  const below = Math.floor(index)
  const low = sorted[below]!
  return low + (index - below) * ((sorted[below + 1] ?? low) - low)
}
