import { describe, expect, it } from 'vitest'
import { Variability } from '../../../core/judge/index.js'

const minute = 60_000

/** The room asked for after so many hours in which an index ÷ share went as given, minute by minute. */
const roomAfter = (hours: number, index: (minutes: number) => number | null) => {
  const variability = new Variability()
  for (let i = 0; i <= 60 * hours; i++) {
    const value = index(i)
    if (value !== null) variability.take(i * minute, value)
  }
  return variability.room
}

describe('the room that a restless index needs', () => {
  it('is what nine of ten changes within an hour do not exceed', () => {
    const slow = roomAfter(24, i => 0.001 * i)
    expect(slow).toBeCloseTo(0.06, 6)
    // a sine of 0.25 with a period of four hours changes within an hour by 0.25·√2·|cos|: 90 % are below that of 81°
    const wave = roomAfter(25, i => 0.9 + 0.25 * Math.sin((2 * Math.PI * i) / 240))
    expect(wave).toBeCloseTo(0.25 * Math.SQRT2 * Math.sin((0.9 * Math.PI) / 2), 2)
  })
  it('is twice as large at a time that is promised, two fifths of a share at most', () => {
    const slow = new Variability()
    for (let i = 0; i <= 24 * 60; i++) slow.take(i * minute, 0.001 * i)
    expect(slow.roomAhead).toBeCloseTo(2 * 0.06, 6)
    expect(new Variability().roomAhead).toBe(0.4)
  })
  it('is nothing for an index that stands still, however far it once was away', () => {
    expect(roomAfter(24, () => 0.95)).toBe(0)
    expect(roomAfter(24, i => (i < 600 ? 9 - 0.01 * i : 0.9))).toBe(0)
  })
  it('stays as it was assumed until three hours have been seen, and at most two fifths of a share', () => {
    expect(roomAfter(2, () => 0.9)).toBe(0.2)
    expect(roomAfter(3, () => 0.9)).toBe(0)
    expect(roomAfter(24, i => (i % 120 < 60 ? 0.2 : 1.4))).toBe(0.4)
  })
  it('asks for none of what has been within the share for a night, however restless it was before', () => {
    // up and down by 0.5 for 20 h, then still at 0.95
    const restless = (i: number) => (i < 1200 ? (i % 120 < 60 ? 0.8 : 1.3) : 0.95)
    expect(roomAfter(27, restless)).toBeCloseTo(0.4, 9)
    expect(roomAfter(29, restless)).toBe(0)
    expect(roomAfter(29, i => (i === 1739 ? 1.01 : restless(i)))).toBeCloseTo(0.4, 9)
    // minutes without a value are no evidence
    expect(roomAfter(29, i => (i > 1260 && i < 1275 ? null : restless(i)))).toBeCloseTo(0.4, 9)
  })
  it('compares nothing across a gap', () => {
    expect(roomAfter(24, i => (i % 90 < 30 ? (i % 180 < 90 ? 0.2 : 0.9) : null))).toBe(0.2)
  })
  it('forgets what is older than a day, and begins anew when the clock is set back', () => {
    expect(roomAfter(60, i => (i < 30 * 60 ? (i % 120 < 60 ? 0.5 : 0.9) : 0.7))).toBe(0)
    const variability = new Variability()
    for (let i = 0; i <= 120; i++) variability.take((1000 + i) * minute, 0.5)
    for (let i = 0; i <= 180; i++) variability.take(i * minute, 0.9)
    expect(variability.room).toBe(0)
  })
})
