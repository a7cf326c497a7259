/** Arithmetic mean, in the unit of the values; NaN for none. Kept exact for values far from zero by a second pass. */
export const mean = (values: ArrayLike<number>): number => {
  let sum = 0
  for (let i = 0; i < values.length; i++) sum += values[i]!
  const first = sum / values.length
  let rest = 0
  for (let i = 0; i < values.length; i++) rest += values[i]! - first
  return first + rest / values.length
}

/** Standard deviation of a sample (divided by n − 1), in the unit of the values; NaN for fewer than two. */
export const standardDeviation = (values: ArrayLike<number>): number => {
  if (values.length < 2) return Number.NaN
  const middle = mean(values)
  let sum = 0
  for (let i = 0; i < values.length; i++) sum += (values[i]! - middle) ** 2
  return Math.sqrt(sum / (values.length - 1))
}

/**
 * Smallest value, in the unit of the values; +∞ for none. A list of any length, which `Math.min(...values)` does not
 * bear.
 */
export const lowest = (values: readonly number[]): number =>
  values.reduce((least, value) => Math.min(least, value), Number.POSITIVE_INFINITY)

/** Largest value, in the unit of the values; −∞ for none. */
export const highest = (values: readonly number[]): number =>
  values.reduce((most, value) => Math.max(most, value), Number.NEGATIVE_INFINITY)
