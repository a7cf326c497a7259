import { describe, expect, it } from 'vitest'
import { clockOf } from '../../core/written-time.js'
import { fieldClock, fieldMoment, readMoment } from '../../web/frame/field-moment.js'
import { nextMoment } from '../../web/machine/plan.js'

const chicago = { timeZone: 'America/Chicago', clock: '12 h' } as const
const vienna = { timeZone: 'Europe/Vienna', clock: '24 h' } as const

describe('times that are typed', () => {
  it('stand in the field by the clock of the shop', () => {
    const at = Date.UTC(2026, 0, 14, 20, 5)
    expect(fieldMoment(at, chicago)).toBe('2026-01-14 2:05 pm')
    expect(fieldMoment(at, vienna)).toBe('2026-01-14 21:05')
    expect([fieldClock(5, chicago), fieldClock(0, chicago), fieldClock(5, vienna)]).toEqual([
      '5:00 am',
      '12:00 am',
      '05:00',
    ])
  })

  it('are read by either clock, and come back as the same minute, also where clocks are put back', () => {
    for (const zone of [chicago, vienna])
      for (let at = Date.UTC(2026, 9, 24); at < Date.UTC(2026, 10, 2); at += 37 * 60_000) {
        const back = readMoment(fieldMoment(at, zone), zone)!
        // the hour that occurs twice cannot be told apart
        expect([0, 3_600_000]).toContain(Math.abs(back - at))
        expect(fieldMoment(back, zone)).toBe(fieldMoment(at, zone))
      }
    expect(readMoment('2026-01-14 2:05 pm', vienna)).toBe(Date.UTC(2026, 0, 14, 13, 5))
    expect(readMoment('14.1.2026 14:05', vienna)).toBe(Date.UTC(2026, 0, 14, 13, 5))
    expect(readMoment(' 2026-01-14T14:05 ', vienna)).toBe(Date.UTC(2026, 0, 14, 13, 5))
  })

  it.each([
    '',
    'soon',
    '2026-01-14',
    '14:05',
    '3/4/2026 14:05',
    '2026-02-30 10:00',
    '2026-01-14 25:00',
    '2026-01-14 13:00 pm',
    // clocks are put forward over it
    '2026-03-29 02:30',
  ])('%j is no moment', text => {
    expect(readMoment(text, vienna)).toBeNull()
  })

  it('beside the hour that clocks skip, and with a zone of their own, are what they say', () => {
    expect(readMoment('2026-03-29 01:59', vienna)).toBe(Date.UTC(2026, 2, 29, 0, 59))
    expect(readMoment('2026-03-29 03:00', vienna)).toBe(Date.UTC(2026, 2, 29, 1))
    expect(readMoment('2026-03-29T02:30Z', vienna)).toBe(Date.UTC(2026, 2, 29, 2, 30))
    expect(readMoment('2026-03-29T02:30-05:00', vienna)).toBe(Date.UTC(2026, 2, 29, 7, 30))
  })

  it('a time of day is read by either clock', () => {
    expect(['5:30 pm', '17:30', '12:00 AM', '5:30pm', ' 6:05 '].map(clockOf)).toEqual([
      '17:30',
      '17:30',
      '00:00',
      '17:30',
      '06:05',
    ])
    expect(['', '5', '24:00', '5:60', '13:00 pm', 'noon'].map(clockOf)).toEqual([null, null, null, null, null, null])
    const now = Date.UTC(2026, 0, 14, 20, 5)
    expect(nextMoment('5:00 am', now, chicago)).toBe(Date.UTC(2026, 0, 15, 11))
    expect(nextMoment('5 am', now, chicago)).toBeNull()
  })
})
