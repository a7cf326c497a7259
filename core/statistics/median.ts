/**
 * Median of numbers in any order.
 *
 * @returns NaN for an empty list; the mean of the two middle ones for an even count
 */
export const median = (values: readonly number[]): number => {
  if (values.length === 0) return Number.NaN
  const sorted = Float64Array.from(values).sort()
  const middle = sorted.length >> 1
  return sorted.length % 2 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2
}
