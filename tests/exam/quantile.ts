/** Quantile of numbers in any order, by linear interpolation; NaN for none. */
export const quantile = (values: readonly number[], part: number): number => {
  if (values.length === 0) return Number.NaN
  const sorted = Float64Array.from(values).sort()
  const place = part * (sorted.length - 1)
  const below = Math.floor(place)
  const above = Math.min(below + 1, sorted.length - 1)
  return sorted[below]! + (place - below) * (sorted[above]! - sorted[below]!)
}
