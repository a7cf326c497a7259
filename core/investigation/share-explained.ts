import { mean } from '../statistics/index.js'

/** A part as it was measured, and what heat predicts for it. */
export interface PredictedPart {
  /** ms; when it was cut */
  at: number
  /** m; measured size less nominal, signed */
  deviation: number
  /** m; what heat alone predicts, signed */
  predicted: number
}

const variance = (values: readonly number[]): number => {
  const centre = mean(values)
  return values.reduce((sum, value) => sum + (value - centre) ** 2, 0) / values.length
}

/**
 * Share of the variance of deviations that the prediction takes away when it is subtracted as it stands: neither its size nor
 * its sign is fitted. Below 0 where it makes them worse; NaN when they are all alike.
 */
export const shareExplained = (parts: readonly PredictedPart[]): number =>
  1 -
  variance(parts.map(({ deviation, predicted }) => deviation - predicted)) /
    variance(parts.map(({ deviation }) => deviation))

/**
 * Slope of deviations on predictions, m/m: 1 where heat does what physics expects of it. NaN when predictions are all
 * alike.
 */
export const slopeOnPrediction = (parts: readonly PredictedPart[]): number => {
  const centre = mean(parts.map(({ predicted }) => predicted))
  let [xy, xx] = [0, 0]
  for (const { deviation, predicted } of parts) {
    xy += (predicted - centre) * deviation
    xx += (predicted - centre) ** 2
  }
  return xy / xx
}
