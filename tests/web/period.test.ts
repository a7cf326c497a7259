import { describe, expect, it } from 'vitest'
import { periodAt, readPeriod, readWindow } from '../../web/frame/period.js'

const zone = 'Europe/Vienna'
const at = (text: string) => Date.parse(text)
const query = (text: string) => new URLSearchParams(text)
const named = (id: 'day' | 'night' | 'sunday' | 'week', now: string) => {
  const { from, to } = periodAt({ kind: 'named', id }, at(now), zone)
  return [new Date(from).toISOString(), new Date(to).toISOString()]
}

describe('the period of an environment test', () => {
  it('is the last 24 hours unless the address says otherwise', () => {
    expect(readPeriod(query(''))).toEqual({ kind: 'named', id: 'day' })
    expect(readPeriod(query('period=night'))).toEqual({ kind: 'named', id: 'night' })
    expect(readPeriod(query('period=never'))).toEqual({ kind: 'named', id: 'day' })
    expect(readPeriod(query('from=2026-01-10T08:00Z&to=2026-01-10T20:00Z'))).toEqual({
      kind: 'fixed',
      from: at('2026-01-10T08:00Z'),
      to: at('2026-01-10T20:00Z'),
    })
    expect(readWindow(query('')).length).toBe(3600)
    expect(readWindow(query('window=8h')).length).toBe(28_800)
  })

  it('takes the last night that has ended, by the shop’s clock', () => {
    // Vienna is an hour ahead of UTC in winter
    expect(named('night', '2026-01-14T09:00Z')).toEqual(['2026-01-13T19:00:00.000Z', '2026-01-14T04:00:00.000Z'])
    expect(named('night', '2026-01-14T03:59Z')).toEqual(['2026-01-12T19:00:00.000Z', '2026-01-13T04:00:00.000Z'])
  })

  it('takes the last whole Sunday, also one of 23 hours', () => {
    expect(named('sunday', '2026-01-14T09:00Z')).toEqual(['2026-01-10T23:00:00.000Z', '2026-01-11T23:00:00.000Z'])
    // on a Sunday the one before
    expect(named('sunday', '2026-01-11T12:00Z')).toEqual(['2026-01-03T23:00:00.000Z', '2026-01-04T23:00:00.000Z'])
    // clocks went forward on 29 March 2026
    expect(named('sunday', '2026-03-31T12:00Z')).toEqual(['2026-03-28T23:00:00.000Z', '2026-03-29T22:00:00.000Z'])
  })

  it('goes back a day or a week from now', () => {
    expect(named('day', '2026-01-14T09:00Z')).toEqual(['2026-01-13T09:00:00.000Z', '2026-01-14T09:00:00.000Z'])
    expect(named('week', '2026-01-14T09:00Z')[0]).toBe('2026-01-07T09:00:00.000Z')
  })
})
