import { describe, expect, it } from 'vitest'
import {
  commonShift,
  habitAfter,
  hasDrifted,
  levelAfter,
  levelOfDay,
  noHabit,
  noisy,
  noUsualLevel,
  roughnessAfter,
  strayedBy,
} from '../../../core/trust/index.js'
import type { UsualLevel } from '../../../core/trust/usual-level.js'
import { randomStream } from '../../../simulators/random.js'

describe('a habit', () => {
  const habitOf = (reached: readonly number[]) => reached.reduce((habit, each) => habitAfter(habit, each, 0.5), noHabit)
  it('is the largest of the days, forgotten slowly', () => {
    expect(habitOf([1, 3, 2]).largest).toBeCloseTo(3 * 0.98)
    expect(habitOf([3, ...new Array<number>(34).fill(0)]).largest).toBeCloseTo(1.5, 1)
  })
  it('does not learn at once what comes after the first week', () => {
    const week = [1, 1, 1, 1, 1, 1, 1]
    expect(habitOf([...week, 8]).largest).toBeCloseTo(1.25)
    expect(habitOf([0, 0, 0, 0, 0, 0, 0, 8]).largest).toBe(0.5)
  })
})

/** Half hours of days: at rest 0.3 K up, warm by 2 K from six to fourteen; `off` is what the sensor adds. */
const dayOf = (off: (hour: number) => number): number[] =>
  Array.from({ length: 48 }, (_, i) => (i >= 12 && i < 28 ? 2 : 0.3) + off(i / 2))

/** Lives day after day. @param others see `unusualBy`; none: nothing is known of them but what all share */
const live = (days: number, off: (day: number) => number, noise = 0.05, others: readonly number[] = []) => {
  const random = randomStream(1, 'levels')
  let usual: UsualLevel = noUsualLevel
  let found = Number.NaN
  for (let day = 0; day < days; day++) {
    const values = dayOf(() => off(day) + noise * random.normal())
    const level = levelOfDay(values)
    const excess = level - usual.base
    usual = levelAfter(usual, values, level, excess, others, false)
    if (Number.isNaN(found) && hasDrifted(usual, excess)) found = day
  }
  return { usual, found }
}

describe('the usual level of a sensor', () => {
  it('is that of its quiet hours', () => {
    expect(levelOfDay(dayOf(() => 0))).toBeCloseTo(0.3)
    expect(levelOfDay([1, 2, 3])).toBeNaN()
  })
  it('tells a drift of 0.1 and of 1 K a day within days, and none in two months without', () => {
    expect(live(60, () => 0).found).toBeNaN()
    const since = (rate: number) => live(40, day => rate * Math.max(0, day - 14)).found - 14
    expect(since(0.1)).toBeLessThanOrEqual(12)
    expect(since(-0.1)).toBeLessThanOrEqual(12)
    expect(since(1)).toBeLessThanOrEqual(6)
  })
  it('does not tell of one day that is odd, nor before it is known', () => {
    expect(live(30, day => (day === 20 ? 3 : 0)).found).toBeNaN()
    expect(live(7, day => 0.5 * day).found).toBeNaN()
  })
  it('counts for less on days on which the others do what they seldom do, each in its own way', () => {
    const drift = (day: number) => 0.3 * Math.max(0, day - 14)
    expect(live(28, drift).found).toBeLessThan(28)
    expect(live(28, drift, 0.05, [4, -5, 6, 0.3]).found).toBeNaN()
    // of one other nobody can say, and one that is odd is a fault of its own
    expect(live(28, drift, 0.05, [6]).found).toBeLessThan(28)
    expect(live(28, drift, 0.05, [6, 0.3, -0.4, 0.2]).found).toBeLessThan(28)
  })
  it('takes what all of a machine share for none of theirs, and of two blames neither', () => {
    expect(commonShift([0, 1.1, 0.9, 1, Number.NaN])).toBeCloseTo(0.95)
    expect(commonShift([0, 1.1, Number.NaN])).toBeNaN()
  })
  it('is left within hours only by what is further off than ever, alone, for two hours', () => {
    const { usual } = live(14, () => 0)
    expect(strayedBy(usual, [-1.5, -1.5, -1.5, -1.6], 0, [])).toBeCloseTo(-1.5)
    expect(strayedBy(usual, [-1.5, -1.5, -0.1, -1.6], 0, [])).toBe(0)
    expect(strayedBy(usual, [-1.5, -1.5, -1.5, -1.6], -1.4, [])).toBe(0)
    // as warm as work makes it, and far beyond that
    expect(strayedBy(usual, [2, 2, 2, 2], 0, [])).toBe(0)
    expect(strayedBy(usual, [6, 6, 6, 6], 0, [])).toBe(6)
    // the others are as far off as they ever were, or twice as far
    expect(strayedBy(usual, [-1.5, -1.5, -1.5, -1.6], 0, [1, -1, 1, 0.2])).toBeCloseTo(-1.5)
    expect(strayedBy(usual, [-1.5, -1.5, -1.5, -1.6], 0, [2, -2, 0.1])).toBe(0)
    expect(strayedBy(live(5, () => 0).usual, [6, 6, 6, 6], 0, [])).toBe(0)
  })
})

describe('readings that jump about', () => {
  const roughnessOf = (values: readonly number[]) =>
    values.reduce((rough, value, i) => (i < 2 ? 0 : roughnessAfter(rough, values[i - 2]!, values[i - 1]!, value)), 0)
  it('are noisy when they never did, and not when they did or rise', () => {
    const jumping = roughnessOf(Array.from({ length: 60 }, (_, i) => 20 + (i % 2)))
    expect(jumping).toBeGreaterThan(0.8)
    expect(noisy(jumping, { largest: 0.05, days: 14 })).toEqual({ kind: 'noisy', by: jumping })
    expect(noisy(jumping, { largest: 0.6, days: 14 })).toBeNull()
    expect(noisy(jumping, noHabit)).toBeNull()
    expect(roughnessOf(Array.from({ length: 60 }, (_, i) => 20 + 0.5 * i))).toBeCloseTo(0)
  })
})
