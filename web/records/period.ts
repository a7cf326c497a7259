import { DateTime } from 'luxon'
import { type Zone, zoneName } from '../../core/format.js'
import { readFromTo } from '../frame/period.js'

/** The period of a record; it lives in the address. */
export type RecordPeriod =
  | { kind: 'day' }
  | { kind: 'week' }
  /** of the calendar, "2026-01"; null: the present one */
  | { kind: 'month'; month: string | null }
  | { kind: 'fixed'; from: number; to: number }

/** months that can be chosen, the present one among them */
const monthsBack = 24

/** @param query with `period=day` or `week`, `month=2026-01`, or `from` and `to` as ISO 8601 with zone */
export const readRecordPeriod = (query: Pick<URLSearchParams, 'get'>): RecordPeriod => {
  const fixed = readFromTo(query)
  if (fixed) return { kind: 'fixed', ...fixed }
  const named = query.get('period')
  if (named === 'day' || named === 'week') return { kind: named }
  const month = query.get('month')
  return { kind: 'month', month: month && /^\d{4}-(0[1-9]|1[0-2])$/.test(month) ? month : null }
}

/** Months by the shop's calendar, the present one first. */
export const monthsUntil = (now: number, zone: Zone): { id: string; text: string }[] => {
  const present = DateTime.fromMillis(now, { zone: zoneName(zone) }).startOf('month')
  return Array.from({ length: monthsBack }, (_, i) => {
    const month = present.minus({ months: i })
    return { id: month.toFormat('yyyy-MM'), text: month.toFormat('LLLL yyyy', { locale: 'en' }) }
  })
}

/**
 * The ends of a period. A month runs from midnight to midnight by the shop's clock, the present one until now; the last
 * day and week from the same time by that clock: where clocks changed meanwhile, they are an hour shorter or longer.
 *
 * @param now ms
 */
export const recordPeriodAt = (period: RecordPeriod, now: number, zone: Zone): { from: number; to: number } => {
  if (period.kind === 'fixed') return { from: period.from, to: period.to }
  const moment = DateTime.fromMillis(Math.round(now), { zone: zoneName(zone) })
  if (period.kind !== 'month')
    return { from: moment.minus({ days: period.kind === 'day' ? 1 : 7 }).toMillis(), to: moment.toMillis() }
  const begin = (period.month ? DateTime.fromISO(period.month, { zone: zoneName(zone) }) : moment).startOf('month')
  return { from: begin.toMillis(), to: Math.min(begin.plus({ months: 1 }).toMillis(), moment.toMillis()) }
}
