import { describe, expect, it } from 'vitest'
import { UsualSlots } from '../../../server/monitor/usual-slots.js'

describe('slots of the usual day', () => {
  const slots = new UsualSlots('Europe/Vienna')

  it('are half hours of the local day, those of a week’s end apart', () => {
    // Friday 5 June 2026, 14:29 and 14:30 in Vienna
    expect(slots.at(Date.parse('2026-06-05T12:29:59Z'))).toBe(28)
    expect(slots.at(Date.parse('2026-06-05T12:30:00Z'))).toBe(29)
    // midnight between Friday and Saturday, and between Sunday and Monday
    expect(slots.at(Date.parse('2026-06-05T21:59:59Z'))).toBe(47)
    expect(slots.at(Date.parse('2026-06-05T22:00:00Z'))).toBe(48)
    expect(slots.at(Date.parse('2026-06-07T21:59:59Z'))).toBe(95)
    expect(slots.at(Date.parse('2026-06-07T22:00:00Z'))).toBe(0)
  })

  it('follow the shop’s clock over a change of it', () => {
    // on 29 March 2026 two o'clock is three
    const ahead = slots.ahead(Date.parse('2026-03-29T00:30:00Z'))
    expect([...ahead.slice(0, 3)]).toEqual([48 + 3, 48 + 6, 48 + 7])
  })
})
