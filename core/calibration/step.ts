/** Differences below it are rounding of the arithmetic (°F turned into °C), not a step of a sensor. K */
const arithmetic = 1e-6

/**
 * The step a sensor's readings move in, as its readings show it.
 *
 * @param values °C
 * @returns K; the smallest difference between unequal values, 0 when all are the same or there are none: then the
 *   readings do not tell
 */
export const stepOf = (values: ArrayLike<number>): number => {
  const sorted = Float64Array.from(values).filter(Number.isFinite).sort()
  let step = Number.POSITIVE_INFINITY
  for (let i = 1; i < sorted.length; i++) {
    const difference = sorted[i]! - sorted[i - 1]!
    if (difference > arithmetic && difference < step) step = difference
  }
  return Number.isFinite(step) ? step : 0
}
