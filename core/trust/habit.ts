/**
 * What one sensor is known to do: the largest that a statistic has reached on days on which the sensor was believed. A
 * fault is a change: what a healthy sensor has done, it may do again, whatever a model says of its place.
 */
export interface Habit {
  largest: number
  /** on which the sensor was watched and believed */
  days: number
}

/** Before anything was watched. */
export const noHabit: Habit = { largest: 0, days: 0 }

/** 0..1; part of the largest that is kept from day to day: a month halves it. Judgement, no source */
const kept = 0.98
/** days; what work, weather and weekend bring is not known before. Judgement, no source */
const enough = 3
/** after so many days a habit grows by no more than this factor a day: what creeps up slowly is a fault. Judgement, no source */
const settled = { days: 7, growth: 1.25 }

/**
 * What a sensor is used to after one more day, in the unit of its habit: at most so much more than before, and what lies
 * long ago counts for less.
 *
 * @param reached in one more day
 * @param free up to which it grows at once, however settled it is
 */
export const habitAfter = ({ largest, days }: Habit, reached: number, free: number): Habit => {
  const most = days < settled.days ? Number.POSITIVE_INFINITY : Math.max(free, settled.growth * largest)
  return { largest: Math.max(kept * largest, Math.min(reached, most)), days: days + 1 }
}

/**
 * Beyond which a sensor does what it never did.
 *
 * @param factor how far beyond its largest, once that is well known
 * @param unknown what is taken for its largest while too few days are known
 * @returns in the unit of the habit
 */
export const beyondHabit = ({ largest, days }: Habit, factor: number, unknown: number): number =>
  days < enough ? factor * Math.max(largest, unknown) : factor * (1 + 2 / days) * largest
