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

/**
 * A sensor that shows its noise: the readings after which it is known how seldom it repeats itself; by how much more it may
 * do so in quiet hours, and the most that it then may; natural logarithm of the chance that is none; K, its step at most: in
 * the middle of a coarser one noise does not show
 */
const lively = { readings: 100, factor: 1.5, margin: 0.1, most: 0.7, chance: -20, coarsest: 0.1 }
/** factor on its longest run that ended by itself; K, and steps, that its neighbours must have moved */
const stopped = { longer: 5, kelvin: 0.2, steps: 2 }

/** How long a sensor has sent one and the same value. */
export interface ValueRun {
  /** s since the value was first sent */
  seconds: number
  /** how often it was sent since */
  repeats: number
  /** K; the smallest step the sensor has ever shown; 0 when none is known */
  resolution: number
  /** readings that it sent before, how many of them repeated the one in front, and how many the longest run did */
  before: { readings: number; repeats: number; longest: number }
}

/** One more run has ended by itself. @param before changed in place: this happens with most readings */
export const addRun = (before: ValueRun['before'], repeats: number): void => {
  before.readings += repeats + 1
  before.repeats += repeats
  before.longest = Math.max(before.longest, repeats)
}

/** Whether a run is so long that a sensor with its noise would not send it by chance. */
const isNoAccident = ({ repeats, resolution, before }: ValueRun): boolean => {
  const part = (lively.factor * before.repeats) / before.readings + lively.margin
  return (
    before.readings >= lively.readings &&
    resolution <= lively.coarsest + 1e-6 &&
    part <= lively.most &&
    repeats > stopped.longer * before.longest &&
    repeats * Math.log(part) < lively.chance
  )
}

/** K; by how much its neighbours moved, typically. @param moves K, of each */
export const typicalMove = (moves: readonly number[]): number => (moves.length < 2 ? 0 : median(moves.map(Math.abs)))

/**
 * Frozen while its neighbours move. A sensor of coarse steps, or on a slow body, repeats itself honestly where little
 * moves; so it counts only against what the others did since, as far as its body can follow that, and against its habit.
 * One that shows its noise, and so hardly ever repeats itself, is told sooner, and on a slow body as well.
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
  const little = Math.max(stopped.kelvin, stopped.steps * (run.resolution || coarse))
  return isBeyond || (typical >= little && isNoAccident(run))
    ? { kind: 'frozen', for: run.seconds, moved: typical }
    : null
}
