import { describe, expect, it } from 'vitest'
import { Variability } from '../../../core/judge/index.js'

const minute = 60_000

/** The room asked for after so many hours in which an index ÷ share went as given, minute by minute. */
const roomAfter = (hours: number, index: (minutes: number) => number | null) => indexThatWent(hours, index).room
const indexThatWent = (hours: number, index: (minutes: number) => number | null) => {
  const variability = new Variability()
  for (let i = 0; i <= 60 * hours; i++) {
    const value = index(i)
    if (value !== null) variability.take(i * minute, value)
  }
  return variability
}

describe('the room that a restless index needs', () => {
  it('is what 29 of 30 changes within an hour do not exceed upwards', () => {
    const slow = roomAfter(24, i => 0.001 * i)
    expect(slow).toBeCloseTo(0.06, 6)
    // a sine of 0.25 with a period of 247 min changes within an hour by 0.5·sin(π·60/247)·cos: 97 % are below that of 5.4°
    // (beyond its share at last, so that it has not been within for a night)
    const wave = roomAfter(25, i => (i === 1500 ? 1.01 : 0.7 + 0.25 * Math.sin((2 * Math.PI * i) / 247)))
    expect(wave).toBeCloseTo(0.5 * Math.sin((Math.PI * 60) / 247) * Math.cos(0.03 * Math.PI), 2)
  })
  it('is twice as large at a time that is promised, two fifths of a share at most', () => {
    expect(indexThatWent(24, i => 0.001 * i).roomAhead).toBeCloseTo(0.12, 6)
    expect(indexThatWent(24, i => (i % 120 < 60 ? 0.2 : 1.4)).roomAhead).toBe(0.4)
  })
  it('is nothing for an index that stands still, however far it once was away', () => {
    expect(roomAfter(24, () => 0.95)).toBe(0)
    expect(roomAfter(24, i => (i < 600 ? 9 - 0.01 * i : 0.9))).toBe(0)
  })
  it('is nothing for one that only falls, and what it does beyond its share does not count', () => {
    expect(roomAfter(24, i => 1 - 0.0005 * i)).toBe(0)
    const outside = (i: number) => 1.2 + 0.15 * Math.sin(i / 30)
    expect(roomAfter(12, i => (i < 400 ? outside(i) : 0.7))).toBe(0)
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
