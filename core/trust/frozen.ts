import type { SensorFault } from '../reason.js'
import { median } from '../statistics/index.js'

// Judgement, no source, held against the healthy demo shop, in which no sensor may be suspected.
/** s, and repeats of the value: the shortest run that can be noticed */
const shortest = { seconds: 900, repeats: 10 }
/** K, and steps of the sensor's resolution, that its neighbours must have moved meanwhile */
const moved = { kelvin: 0.5, steps: 4 }
/** factor on the longest run it has shown before */
const longer = 1.5

/** How long a sensor has sent one and the same value. */
export interface ValueRun {
  /** s since the value was first sent */
  seconds: number
  /** how often it was sent since */
  repeats: number
  /** K; the smallest step the sensor has ever shown; 0 when none is known */
  resolution: number
  /** repeats of the longest run that ended by itself */
  longestBefore: number
}

/**
 * Frozen while its neighbours move. A sensor of coarse steps repeats itself honestly where nothing moves; so it counts
 * only against what the others did since, and against its own habit.
 *
 * @param neighbourMoves K, of each believed neighbour since the run began
 * @returns null where nothing speaks against it, or fewer than two neighbours are known
 */
export const frozen = (run: ValueRun, neighbourMoves: readonly number[]): SensorFault | null => {
  if (neighbourMoves.length < 2 || run.seconds < shortest.seconds) return null
  if (run.repeats < Math.max(shortest.repeats, longer * run.longestBefore)) return null
  const typical = median(neighbourMoves.map(Math.abs))
  if (!(typical >= Math.max(moved.kelvin, moved.steps * run.resolution))) return null
  return { kind: 'frozen', for: run.seconds, moved: typical }
}
