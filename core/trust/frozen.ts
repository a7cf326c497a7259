import type { SensorFault } from '../reason.js'
import { median } from '../statistics/index.js'
import { beyondHabit, type Habit } from './habit.js'

// Judgement, no source, held against healthy machines and rooms of the test bed.
/** s, and repeats of the value: the shortest run that can be noticed */
const shortest = { seconds: 900, repeats: 10 }
/** K, and steps of the sensor's resolution, that its place must have moved meanwhile, going by its neighbours */
const moved = { kelvin: 0.5, steps: 4 }
/** K; taken for the resolution of a sensor that has shown no step yet */
const coarse = 0.5
/** factor on what its neighbours have moved by within any of its runs that ended by themselves */
const further = 1.5

/** How long a sensor has sent one and the same value. */
export interface ValueRun {
  /** s since the value was first sent */
  seconds: number
  /** how often it was sent since */
  repeats: number
  /** K; the smallest step the sensor has ever shown; 0 when none is known */
  resolution: number
}

/** K; by how much its neighbours moved, typically. @param moves K, of each */
export const typicalMove = (moves: readonly number[]): number => (moves.length < 2 ? 0 : median(moves.map(Math.abs)))

/**
 * Frozen while its neighbours move. A sensor of coarse steps, or on a slow body, repeats itself honestly where little
 * moves; so it counts only against what the others did since, as far as its body can follow that, and against its habit.
 *
 * @param typical K, see `typicalMove`
 * @param usually K; the most that its neighbours moved by within a run that ended by itself
 * @param timeConstant s, of its body; 0 of air
 * @returns null where nothing speaks against it
 */
export const frozen = (run: ValueRun, typical: number, usually: Habit, timeConstant: number): SensorFault | null => {
  if (run.seconds < shortest.seconds || run.repeats < shortest.repeats) return null
  const share = timeConstant > 0 ? 1 - Math.exp(-run.seconds / timeConstant) : 1
  const enough = Math.max(moved.kelvin, moved.steps * (run.resolution || coarse))
  const isBeyond = share * typical >= enough && typical > beyondHabit(usually, further, enough)
  return isBeyond ? { kind: 'frozen', for: run.seconds, moved: typical } : null
}
