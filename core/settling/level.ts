/**
 * Follows the level of the air or a coolant: smooth against eddies, yet quick when a door opens.
 *
 * Exponential smoothing; a reading far from the level is held back, and when the next one confirms it on the same side
 * the level moves there at once.
 */

/** The level after a reading. */
export interface Level {
  /** ms */
  at: number
  /** °C */
  value: number
  /** K²; smoothed square of the readings' distance from the level */
  variance: number
  /** distance of a far reading that awaits confirmation, K */
  outlier: number | null
}

/** s; time constant of the smoothing: longer than eddies last, much shorter than a machine's bodies take. Judgement */
const smoothing = 600
/** K; the standard deviation is never taken smaller than a usual sensor's noise and resolution */
const leastDeviation = 0.06
/** standard deviations; a reading further away is far. Judgement, no source */
const far = 3.5

/**
 * Takes a reading into a level. After half an hour of silence the level begins anew at the reading.
 *
 * @param level before; null for the first reading
 * @param at ms
 * @param reading °C
 */
export const followLevel = (level: Level | null, at: number, reading: number): Level => {
  if (!level || at - level.at > 1_800_000) return { at, value: reading, variance: leastDeviation ** 2, outlier: null }
  const part = 1 - Math.exp(-Math.max(0, at - level.at) / 1000 / smoothing)
  const distance = reading - level.value
  const spread = Math.max(Math.sqrt(level.variance), leastDeviation)
  if (Math.abs(distance) > far * spread) {
    const confirmed = level.outlier !== null && Math.sign(level.outlier) === Math.sign(distance)
    if (!confirmed) return { ...level, at, outlier: distance }
    return { at, value: reading, variance: level.variance, outlier: distance }
  }
  return {
    at,
    value: level.value + part * distance,
    variance: level.variance + part * 0.2 * (distance ** 2 - level.variance),
    outlier: null,
  }
}
