import { select } from './select.js'

/**
 * Median of numbers in any order.
 *
 * @returns NaN for an empty list, or when one of them is NaN; the mean of the two middle ones for an even count
 */
export const median = (values: ArrayLike<number>): number => medianReordering(new Float64Array(values))

/** `median` without a copy, in the unit of the values: reorders them. */
export const medianReordering = (values: Float64Array): number => {
  if (values.length === 0) return Number.NaN
  for (let i = 0; i < values.length; i++) if (Number.isNaN(values[i]!)) return Number.NaN
  const middle = values.length >> 1
  const upper = select(values, middle)
  if (values.length % 2) return upper
  let lower = values[0]!
  for (let i = 1; i < middle; i++) if (values[i]! > lower) lower = values[i]!
  return (lower + upper) / 2
}
