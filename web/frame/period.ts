import { DateTime } from 'luxon'
import { type Zone, zoneName } from '../../core/format.js'

/** The period of an environment test; it lives in the address. */
export type Period = { kind: 'named'; id: PeriodName } | { kind: 'fixed'; from: number; to: number }
type PeriodName = 'day' | 'night' | 'sunday' | 'week'

export const periods: readonly { id: PeriodName; text: string }[] = [
  { id: 'day', text: 'Last 24 h' },
  { id: 'night', text: 'Last night' },
  { id: 'sunday', text: 'Last Sunday' },
  { id: 'week', text: 'Last 7 days' },
]

/** s; lengths of the window in which the largest change is looked for */
export const windows: readonly { id: string; text: string; length: number }[] = [
  { id: '1h', text: '1 h', length: 3600 },
  { id: '4h', text: '4 h', length: 4 * 3600 },
  { id: '8h', text: '8 h', length: 8 * 3600 },
  { id: '24h', text: '24 h', length: 24 * 3600 },
]

/**
 * A fixed stretch of time, as an address has it.
 *
 * @param asked with `from` and `to` as ISO 8601 with zone
 * @returns ms; null where they are no stretch
 */
export const readFromTo = (asked: Pick<URLSearchParams, 'get'>): { from: number; to: number } | null => {
  const [from, to] = [Date.parse(asked.get('from') ?? ''), Date.parse(asked.get('to') ?? '')]
  return from < to ? { from, to } : null
}

/** @param query with `period=night`, or `from` and `to` as ISO 8601 with zone */
export const readPeriod = (query: Pick<URLSearchParams, 'get'>): Period => {
  const fixed = readFromTo(query)
  if (fixed) return { kind: 'fixed', ...fixed }
  return { kind: 'named', id: periods.find(p => p.id === query.get('period'))?.id ?? 'day' }
}

/** @param query with `window=4h` */
export const readWindow = (query: Pick<URLSearchParams, 'get'>) =>
  windows.find(w => w.id === query.get('window')) ?? windows[0]!

/**
 * The ends of a period: the last night is that from 20:00 to 05:00 that ended before now, the last Sunday the last whole
 * one, by the shop's clock.
 *
 * @param now ms
 * @returns whole ms
 */
export const periodAt = (period: Period, now: number, zone: Zone): { from: number; to: number } => {
  if (period.kind === 'fixed') return { from: period.from, to: period.to }
  const moment = DateTime.fromMillis(Math.round(now), { zone: zoneName(zone) })
  if (period.id === 'night') {
    const today = moment.set({ hour: 5, minute: 0, second: 0, millisecond: 0 })
    const end = today <= moment ? today : today.minus({ days: 1 })
    return { from: end.minus({ days: 1 }).set({ hour: 20 }).toMillis(), to: end.toMillis() }
  }
  if (period.id === 'sunday') {
    // weeks begin on Monday, so the last Sunday ended with the last week
    const end = moment.startOf('week')
    return { from: end.minus({ days: 1 }).toMillis(), to: end.toMillis() }
  }
  return { from: moment.minus({ days: period.id === 'week' ? 7 : 1 }).toMillis(), to: moment.toMillis() }
}
