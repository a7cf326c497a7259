/**
 * Follows the level of the air or a coolant: smooth against eddies, yet quick when a door opens.
 *
 * Exponential smoothing; a reading far from the level is held back, and when the next one confirms it on the same side
 * the level moves there at once.
 */
export interface Level {
  /** ms */
  at: number
  /** °C */
  value: number
  /** K²; smoothed square of the readings' distance from the level */
  scatter: number
  /** distance of a far reading that awaits confirmation, K */
  doubtful: number | null
}

/** s */
const smoothing = 600
/** K; scatter never taken smaller than a usual sensor's noise and resolution */
const leastScatter = 0.06
/** a reading this many times the scatter away is far */
const far = 3.5

/**
 * @param level before; null for the first reading
 * @param at ms
 * @param reading °C
 */
export const followLevel = (level: Level | null, at: number, reading: number): Level => {
  if (!level || at - level.at > 1_800_000) return { at, value: reading, scatter: leastScatter ** 2, doubtful: null }
  const part = 1 - Math.exp(-Math.max(0, at - level.at) / 1000 / smoothing)
  const distance = reading - level.value
  const spread = Math.max(Math.sqrt(level.scatter), leastScatter)
  if (Math.abs(distance) > far * spread) {
    const confirmed = level.doubtful !== null && Math.sign(level.doubtful) === Math.sign(distance)
    if (!confirmed) return { ...level, at, doubtful: distance }
    return { at, value: reading, scatter: level.scatter, doubtful: distance }
  }
  return {
    at,
    value: level.value + part * distance,
    scatter: level.scatter + part * 0.2 * (distance ** 2 - level.scatter),
    doubtful: null,
  }
}
