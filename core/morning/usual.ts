import { median, quantile } from '../statistics/index.js'
import type { Night } from './check.js'

/** nights; fewer are no custom. Judgement, no source */
export const leastNights = 3

/** What nights of the same kind were like, by time of night, where enough is known. */
type UsualCourse = NonNullable<Night['airs'][number]['usual']>

/**
 * The usual course: at each time of night the median and the 90 % band of the nights that are known at it.
 *
 * @param at     ms
 * @param nights a value for each of these times, null where nothing was believed
 * @returns null where fewer than three nights are known at any time
 */
export const usualCourse = (
  at: readonly number[],
  nights: readonly (readonly (number | null)[])[],
): UsualCourse | null => {
  const usual: UsualCourse = { at: [], median: [], low: [], high: [] }
  at.forEach((moment, i) => {
    const known = nights.flatMap(night => night[i] ?? [])
    if (known.length < leastNights) return
    usual.at.push(moment)
    usual.median.push(median(known))
    usual.low.push(quantile(known, 0.05))
    usual.high.push(quantile(known, 0.95))
  })
  return usual.at.length > 0 ? usual : null
}

/** The median of what nights were known, in the unit of the values; null where there are too few. */
export const usually = (known: readonly number[]): number | null => (known.length < leastNights ? null : median(known))
