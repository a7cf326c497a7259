/** A part as it was measured, and what heat predicts for it. */
export interface PredictedPart {
  /** ms; when it was cut */
  at: number
  /** m; measured size less nominal, signed */
  deviation: number
  /** m; what heat alone predicts, signed */
  predicted: number
}

/** What share and slope follow from: counts and sums over parts of predictions x and deviations y. */
export interface Sums {
  n: number
  x: number
  y: number
  xx: number
  xy: number
  yy: number
}

/** Sums over parts, each counted from the mean of all, so that nothing is lost to rounding. */
export const centredSums = (parts: readonly PredictedPart[]): Sums[] => {
  let [x, y] = [0, 0]
  for (const { predicted, deviation } of parts) {
    x += predicted / parts.length
    y += deviation / parts.length
  }
  return parts.map(({ predicted, deviation }) => {
    const [dx, dy] = [predicted - x, deviation - y]
    return { n: 1, x: dx, y: dy, xx: dx * dx, xy: dx * dy, yy: dy * dy }
  })
}

const total = (all: readonly Sums[]): Sums => {
  const sum: Sums = { n: 0, x: 0, y: 0, xx: 0, xy: 0, yy: 0 }
  for (const each of all) for (const key of ['n', 'x', 'y', 'xx', 'xy', 'yy'] as const) sum[key] += each[key]
  return sum
}

/** `shareExplained` of parts with these sums. */
export const shareOf = ({ n, x, y, xx, xy, yy }: Sums): number =>
  1 - (yy - 2 * xy + xx - (y - x) ** 2 / n) / (yy - (y * y) / n)

/** `slopeOnPrediction` of parts with these sums. */
export const slopeOf = ({ n, x, y, xx, xy }: Sums): number => (xy - (x * y) / n) / (xx - (x * x) / n)

/**
 * Share of the variance of deviations that the prediction takes away when it is subtracted as it stands: neither its size nor
 * its sign is fitted. Below 0 where it makes them worse; NaN when they are all alike.
 */
export const shareExplained = (parts: readonly PredictedPart[]): number => shareOf(total(centredSums(parts)))

/**
 * Slope of deviations on predictions, m/m: 1 where heat does what physics expects of it. NaN when predictions are all
 * alike.
 */
export const slopeOnPrediction = (parts: readonly PredictedPart[]): number => slopeOf(total(centredSums(parts)))
