import { describe, expect, it } from 'vitest'
import { monthsUntil, readRecordPeriod, recordPeriodAt } from '../../web/records/period.js'

const zone = 'Europe/Vienna'
const hour = 3_600_000
/** Thursday 30 October 2025, 12:00 in Vienna; clocks were put back on the 26th */
const now = Date.UTC(2025, 9, 30, 11)
const hours = ({ from, to }: { from: number; to: number }) => (to - from) / hour
const read = (search: string) => readRecordPeriod(new URLSearchParams(search))

describe('the period of a record', () => {
  it('is a month by the shop’s calendar, the present one until now', () => {
    expect(read('')).toEqual({ kind: 'month', month: null })
    expect(hours(recordPeriodAt(read('month=2025-03'), now, zone))).toBe(743)
    expect(hours(recordPeriodAt(read('month=2025-09'), now, zone))).toBe(720)
    const present = recordPeriodAt(read('month=2025-10'), now, zone)
    expect(present).toEqual({ from: Date.UTC(2025, 8, 30, 22), to: now })
    expect(recordPeriodAt(read(''), now, zone)).toEqual(present)
    // in November the whole of it, with the hour that came twice
    expect(hours(recordPeriodAt(read('month=2025-10'), now + 10 * 24 * hour, zone))).toBe(745)
  })

  it('is the last day or week from the same time by the shop’s clock', () => {
    expect(hours(recordPeriodAt(read('period=day'), now, zone))).toBe(24)
    expect(hours(recordPeriodAt(read('period=week'), now, zone))).toBe(169)
  })

  it('is what was typed in, and nothing that makes no sense', () => {
    expect(read('from=2025-01-01T00:00Z&to=2025-01-02T00:00Z&month=2025-03')).toEqual({
      kind: 'fixed',
      from: Date.UTC(2025, 0, 1),
      to: Date.UTC(2025, 0, 2),
    })
    for (const search of ['month=2025-13', 'month=soon', 'period=year', 'from=2025-01-02T00:00Z&to=2025-01-01T00:00Z'])
      expect(read(search)).toEqual({ kind: 'month', month: null })
  })

  it('offers the months of two years, the present one first', () => {
    const months = monthsUntil(now, zone)
    expect(months[0]).toEqual({ id: '2025-10', text: 'October 2025' })
    expect(months.at(-1)).toEqual({ id: '2023-11', text: 'November 2023' })
    // the first minutes of November in the shop are October still in UTC
    expect(monthsUntil(Date.UTC(2025, 9, 31, 23, 5), zone)[0]!.id).toBe('2025-11')
  })
})
