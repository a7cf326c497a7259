import { describe, expect, it } from 'vitest'
import type { Shift } from '../../../../core/shop.js'
import { nightBegan, shiftOfDay, shiftsAbout } from '../../../../server/studies/morning/shifts.js'

const vienna = { timeZone: 'Europe/Vienna' }
const at = (text: string) => Date.parse(text)
const shop = (...shifts: Shift[]) => ({ ...vienna, shifts })
const weekdays = [1, 2, 3, 4, 5]

describe('the shifts of a shop', () => {
  it('begin the night at the last one’s end: on Tuesday Monday’s, on Monday Friday’s', () => {
    // winter: the clock is an hour ahead of UTC
    expect(nightBegan(vienna, at('2026-01-13T07:00+01:00'))).toBe(at('2026-01-12T18:00+01:00'))
    expect(nightBegan(vienna, at('2026-01-12T07:00+01:00'))).toBe(at('2026-01-09T18:00+01:00'))
    expect(nightBegan(vienna, at('2026-01-11T09:00+01:00'))).toBe(at('2026-01-09T18:00+01:00'))
    expect(shiftOfDay(vienna, at('2026-01-10T09:00+01:00'))).toEqual({
      from: at('2026-01-12T06:00+01:00'),
      to: at('2026-01-12T18:00+01:00'),
    })
  })

  it('leave the past night in view until four hours after the shift’s end', () => {
    expect(nightBegan(vienna, at('2026-01-13T21:59+01:00'))).toBe(at('2026-01-12T18:00+01:00'))
    expect(nightBegan(vienna, at('2026-01-13T22:00+01:00'))).toBe(at('2026-01-13T18:00+01:00'))
  })

  it('go by the wall clock over clock changes', () => {
    const late = shop({ days: [1, 2, 3, 4, 5, 6, 7], from: 22 * 60, to: 6 * 60 })
    const clocksPutForward = at('2026-03-29T12:00+02:00')
    expect(nightBegan(late, clocksPutForward)).toBe(at('2026-03-29T06:00+02:00'))
    const night = shiftsAbout(late, clocksPutForward).find(({ to }) => to === at('2026-03-29T06:00+02:00'))!
    expect(night.to - night.from).toBe(7 * 3_600_000)
    const autumn = shiftsAbout(late, at('2026-10-25T12:00+01:00')).find(
      ({ to }) => to === at('2026-10-25T06:00+01:00'),
    )!
    expect(autumn.to - autumn.from).toBe(9 * 3_600_000)
  })

  it('count as one with less than two hours between them, and as none without an end', () => {
    const two = shop({ days: weekdays, from: 330, to: 810 }, { days: weekdays, from: 822, to: 1200 })
    expect(nightBegan(two, at('2026-01-14T03:00+01:00'))).toBe(at('2026-01-13T20:00+01:00'))
    const always = shop({ days: [1, 2, 3, 4, 5, 6, 7], from: 0, to: 1440 })
    const now = at('2026-01-14T07:00+01:00')
    expect(nightBegan(always, now)).toBe(now - 12 * 3_600_000)
  })
})
