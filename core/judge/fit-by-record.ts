import type { FitByRecord } from '../state.js'

/** how many of the times found last are looked back on, at most; fewer than `least` say nothing yet */
export const lookedBack = { most: 30, least: 10 }
/** 0..1; at least this part of the times named before must have come true, or no further one is named. Judgement, no source */
const trueAtLeast = 0.9
/** 0..1; the part of the times named that is to come true */
const aim = 0.9
/** s; a time that must be named so much later than it was found is of no use, and is not named. Judgement, no source */
export const longestExtra = 8 * 3600

/** What is looked back on once one more has come: the newest only. */
export const withOneMore = <T>(of: readonly T[], one: T): T[] => [...of, one].slice(-lookedBack.most)

/** Whether there are enough to look back on. */
export const isEnough = (of: readonly unknown[]): boolean => of.length >= lookedBack.least

/** How many of the times that were named came true. @param kept of each one, whether fit was shown by then */
export const recordOf = (kept: readonly boolean[]): FitByRecord => ({
  kept: kept.filter(Boolean).length,
  of: kept.length,
})

/**
 * How much later than it was found a time must be named so that nine of ten come true: the quantile of how much later fit
 * came after those before, of which one more than there are counts.
 *
 * @param late s; of each time found before; Infinity where fit did not come within `longestExtra`. At least one
 * @returns s; null where no time of use can be named
 * @see Angelopoulos, A. N. & Bates, S. (2023), Conformal prediction: a gentle introduction, Found. Trends Mach. Learn. 16, 494
 * (split conformal prediction: the quantile with its finite-sample correction)
 */
export const extraOf = (late: readonly number[]): number | null => {
  const sorted = [...late].sort((a, b) => a - b)
  const extra = sorted[Math.min(Math.ceil(aim * (sorted.length + 1)), sorted.length) - 1]!
  return extra > longestExtra ? null : Math.max(0, extra)
}

/** Whether what became of the times named before lets another one be named; too few say nothing against it. */
export const mayName = (kept: readonly boolean[]): boolean =>
  !isEnough(kept) || recordOf(kept).kept >= trueAtLeast * kept.length
