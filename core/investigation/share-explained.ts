/** A part as it was measured, and what heat predicts for it. */
export interface PredictedPart {
  /** ms; when it was cut */
  at: number
  /** m; measured size less nominal, signed */
  deviation: number
  /** m; what heat alone predicts, signed */
  predicted: number
  /** m, standard; of the prediction; 0 if not given */
  uncertainty?: number
}

/** What share and slope follow from: count and sums over parts of predictions x and deviations y. */
export interface Sums {
  n: number
  x: number
  y: number
  xx: number
  xy: number
  yy: number
}

/** Two quantities of each of many parts. */
export interface Pairs {
  x: Float64Array
  y: Float64Array
}

const mean = (values: Float64Array): number => {
  let sum = 0
  for (let i = 0; i < values.length; i++) sum += values[i]!
  return sum / values.length
}

/** Predictions and deviations, each counted from its mean, so that nothing is lost to rounding. */
export const centred = (parts: readonly PredictedPart[]): Pairs => {
  const x = Float64Array.from(parts, ({ predicted }) => predicted)
  const y = Float64Array.from(parts, ({ deviation }) => deviation)
  const [meanX, meanY] = [mean(x), mean(y)]
  for (let i = 0; i < x.length; i++) {
    x[i]! -= meanX
    y[i]! -= meanY
  }
  return { x, y }
}

/** Sums over pairs of prediction and deviation (m), as many powers of m as a name has letters. */
export const sumsOf = ({ x, y }: Pairs): Sums => {
  const sum: Sums = { n: x.length, x: 0, y: 0, xx: 0, xy: 0, yy: 0 }
  for (let i = 0; i < x.length; i++) {
    const [a, b] = [x[i]!, y[i]!]
    sum.x += a
    sum.y += b
    sum.xx += a * a
    sum.xy += a * b
    sum.yy += b * b
  }
  return sum
}

/**
 * `shareExplained` of parts with these sums.
 *
 * @param slope   m/m; by which predictions are multiplied first
 * @param unknown m²; variance of the prediction's own error, which counts as explained
 * @returns 1 at most; below 0 where the prediction makes them worse, NaN when deviations are all alike
 */
export const shareOf = ({ n, x, y, xx, xy, yy }: Sums, slope = 1, unknown = 0): number => {
  const left = yy - 2 * slope * xy + slope ** 2 * xx - (y - slope * x) ** 2 / n
  return 1 - Math.max(0, left - n * unknown) / (yy - (y * y) / n)
}

/** `slopeOnPrediction` of parts with these sums. */
export const slopeOf = ({ n, x, y, xx, xy }: Sums): number => (xy - (x * y) / n) / (xx - (x * x) / n)

/**
 * Share of the variance of deviations that the prediction takes away when it is subtracted as it stands: neither its size nor
 * its sign is fitted. Below 0 where it makes them worse; NaN when they are all alike.
 */
export const shareExplained = (parts: readonly PredictedPart[]): number => shareOf(sumsOf(centred(parts)))

/**
 * Slope of deviations on predictions, m/m: 1 where heat does what physics expects of it. NaN when predictions are all
 * alike.
 */
export const slopeOnPrediction = (parts: readonly PredictedPart[]): number => slopeOf(sumsOf(centred(parts)))
