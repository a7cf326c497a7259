import { describe, expect, it } from 'vitest'
import { readSpan, refreshEvery, spanAt, withGaps } from '../../web/charts/span.js'
import { timeTicks } from '../../web/charts/ticks.js'

const hour = 3_600_000
const query = (text: string) => new URLSearchParams(text)

describe('the span in the address', () => {
  it('is a day unless said otherwise', () => {
    expect(readSpan(query(''))).toEqual({ kind: 'moving', id: 'day', length: 24 * hour })
    expect(readSpan(query('span=decade'))).toEqual(readSpan(query('')))
  })
  it('can be named, and then moves on with the time', () => {
    const span = readSpan(query('span=hour'))
    expect(spanAt(span, 10 * hour)).toEqual({ from: 9 * hour, to: 10 * hour })
    expect(spanAt(span, 11 * hour)).toEqual({ from: 10 * hour, to: 11 * hour })
  })
  it('can be fixed by two times', () => {
    const span = readSpan(query('span=hour&from=2026-11-24T07:00Z&to=2026-11-24T15:00Z'))
    const fixed = { from: Date.UTC(2026, 10, 24, 7), to: Date.UTC(2026, 10, 24, 15) }
    expect(span).toEqual({ kind: 'fixed', ...fixed })
    expect(spanAt(span, 0)).toEqual(fixed)
  })
  it('ignores times that end before they begin or make no sense', () => {
    expect(readSpan(query('from=2026-11-24T15:00Z&to=2026-11-24T07:00Z')).kind).toBe('moving')
    expect(readSpan(query('from=yesterday&to=now')).kind).toBe('moving')
  })
  it('is asked for anew often when short, seldom when long, never when fixed', () => {
    expect(refreshEvery(readSpan(query('span=hour')))).toBe(10_000)
    expect(refreshEvery(readSpan(query('span=year')))).toBe(300_000)
    expect(refreshEvery(readSpan(query('from=2026-11-24T07:00Z&to=2026-11-24T15:00Z')))).toBeNull()
  })
})

describe('gaps', () => {
  const hole = (at: number) => ({ at, hole: true })
  const points = (...times: number[]) => times.map(at => ({ at, hole: false }))
  it('break the line where more than three usual steps are missing', () => {
    const line = withGaps(points(0, 10, 20, 30, 80, 90), hole, 0)
    expect(line.map(p => (p.hole ? 'hole' : p.at))).toEqual([0, 10, 20, 30, 'hole', 80, 90])
  })
  it('are not seen in a single missing reading', () => {
    expect(withGaps(points(0, 10, 20, 40, 50), hole, 0)).toHaveLength(5)
  })
  it('are not seen below what the sensor’s interval allows', () => {
    expect(withGaps(points(0, 1, 2, 3, 30, 31), hole, 30)).toHaveLength(6)
  })
  it('need two points', () => {
    expect(withGaps([], hole, 0)).toEqual([])
    expect(withGaps(points(5), hole, 0)).toHaveLength(1)
  })
})

describe('times on a chart’s axis', () => {
  const zone = 'Europe/Vienna'
  const labels = (from: string, to: string, most = 9) =>
    timeTicks(Date.parse(from), Date.parse(to), zone, most).map(t => t.label)
  it('are round hours of the shop’s day, with the date at midnight', () => {
    expect(labels('2026-11-24T08:10Z', '2026-11-25T08:10Z')).toEqual([
      '12:00',
      '15:00',
      '18:00',
      '21:00',
      'Wed 25 Nov',
      '03:00',
      '06:00',
      '09:00',
    ])
  })
  it('stay on midnight and noon through a change of clocks', () => {
    // Europe/Vienna goes back an hour on 25 October 2026 (IANA time zone database)
    expect(labels('2026-10-24T20:00Z', '2026-10-26T11:30Z', 5)).toEqual(['Sun 25 Oct', '12:00', 'Mon 26 Oct', '12:00'])
  })
  it('name no hour twice where the clocks leave one out', () => {
    // Europe/Vienna goes from 02:00 to 03:00 on 28 March 2027 (IANA time zone database)
    expect(labels('2027-03-27T23:00Z', '2027-03-28T04:00Z')).toEqual([
      'Sun 28 Mar',
      '01:00',
      '03:00',
      '04:00',
      '05:00',
      '06:00',
    ])
  })
  it('are days in a week and months in a year', () => {
    expect(labels('2026-11-18T09:00Z', '2026-11-25T09:00Z')[0]).toBe('19 Nov')
    expect(labels('2025-11-25T09:00Z', '2026-11-25T09:00Z', 13)[0]).toBe('Dec 2025')
  })
  it('are no more than there is room for, and within the span', () => {
    for (const length of [1, 8, 24, 168, 720, 8760]) {
      const to = Date.UTC(2026, 10, 25, 9)
      const from = to - length * hour
      const ticks = timeTicks(from, to, zone, 8)
      expect(ticks.length).toBeGreaterThan(1)
      expect(ticks.length).toBeLessThan(12)
      for (const { value } of ticks) expect(value >= from && value <= to).toBe(true)
    }
  })
})
