import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { changeAt, courseStep, NodeForecast, spreadAt } from '../../../core/settling/index.js'
import { UsualDay } from '../../../core/settling/usual-day.js'
import { evenly } from '../../evenly.js'

const minute = 60_000
const day = 1440
/** every day of one kind, local time UTC */
const slotAt = (at: number): number => Math.floor(at / (courseStep * 1000)) % 48
const slotsFrom = (at: number, steps: number) =>
  Uint8Array.from({ length: steps + 1 }, (_, k) => slotAt(at + k * courseStep * 1000))
const alone = () => null

/** A forecaster that has taken a temperature every five minutes from 0 to `minutes`. */
const taught = (temperature: (minute: number) => number, minutes: number): NodeForecast => {
  const forecast = new NodeForecast()
  for (let m = 0; m <= minutes; m += 5) forecast.take(m * minute, temperature(m), slotAt, alone)
  return forecast
}

/** Uniform numbers between -1 and 1 (Park and Miller 1988). */
const scatter = (seed: number) => {
  let state = (seed % 2147483646) + 1
  return () => {
    state = (state * 48271) % 2147483647
    return (2 * state) / 2147483647 - 1
  }
}

describe('a forecast that nothing could be compared with yet', () => {
  it('is as unsure as is expected of its kind, and forgets that once its own record tells', () => {
    const spreadOf = (expected: number, minutes: number) => {
      const forecast = new NodeForecast(expected)
      const noise = scatter(7)
      let value = 20
      for (let m = 0; m <= minutes; m += 5) {
        value += 0.03 * noise()
        forecast.take(m * minute, value, slotAt, alone)
      }
      return spreadAt(forecast.course(value, slotsFrom(minutes * minute, 24), null), 4 * 3600)
    }
    // its band begins a little narrower than errors so far would have it: ways to see ahead learn
    expect(spreadOf(0.35, 0)).toBeCloseTo(0.85 * 0.7, 9)
    expect(spreadOf(0.7, 0)).toBeCloseTo(0.85 * 1.4, 9)
    expect(spreadOf(0.7, 20 * day) / spreadOf(0.35, 20 * day)).toBeLessThan(1.15)
  })
})

describe('the usual day', () => {
  it('is the mean of the days seen while they are few', () => {
    fc.assert(
      fc.property(fc.array(evenly(-20, 40), { minLength: 1, maxLength: 3 }), means => {
        const usual = new UsualDay()
        for (const mean of means) usual.take(20, mean)
        expect(usual.at(20)).toBeCloseTo(means.reduce((a, b) => a + b, 0) / means.length, 9)
        expect(usual.at(21)).toBeNaN()
      }),
    )
  })

  it('comes to a new custom within days', () => {
    const usual = new UsualDay()
    for (let n = 0; n < 30; n++) usual.take(5, 20)
    for (let n = 0; n < 7; n++) usual.take(5, 16)
    expect(usual.at(5)).toBeCloseTo(16 + 4 * 0.7 ** 7, 9)
  })
})

describe('the forecast of a node', () => {
  const setback = (m: number): number => {
    const hour = (m / 60) % 24
    // heated to 20 °C from 6 to 18, otherwise 16 °C, first order with two hours
    return hour >= 6 && hour < 18
      ? 20 - 4 * Math.exp(-(hour - 6) / 2)
      : 16 + 4 * Math.exp(-(((hour - 18 + 24) % 24) / 2))
  }

  it('sees an evening setback come that it has seen on six days', () => {
    const now = 6 * day + 17 * 60
    const course = taught(setback, now).course(setback(now), slotsFrom(now * minute, 24), null)
    for (const hours of [2, 4, 12])
      expect(Math.abs(setback(now) + changeAt(course, hours * 3600) - setback(now + hours * 60))).toBeLessThan(0.5)
    // that it stays as it is would be off by so much
    expect(setback(now) - setback(now + 240)).toBeGreaterThan(3)
  })

  it('is surer of a day that it has seen than of a first Saturday, and after that no less sure than before', () => {
    // the first Saturday begins after five days
    const weekly = (at: number) => slotAt(at) + (Math.floor(at / (day * minute)) % 7 < 5 ? 0 : 48)
    const forecast = new NodeForecast()
    const spreadFrom = (days: number) => {
      const now = (days * day + 17 * 60) * minute
      const slots = Uint8Array.from({ length: 25 }, (_, k) => weekly(now + k * courseStep * 1000))
      return spreadAt(forecast.course(setback(17 * 60), slots, null), 12 * 3600)
    }
    const spreads: number[] = []
    for (let m = 0; m <= 8 * day; m += 5) {
      forecast.take(m * minute, setback(m), weekly, alone)
      if (m % day === 17 * 60) spreads.push(spreadFrom(Math.floor(m / day)))
    }
    const [thursday, friday, nextMonday] = [spreads[3]!, spreads[4]!, spreads[7]!]
    expect(friday).toBeGreaterThan(1.5 * thursday)
    expect(nextMonday).toBeLessThan(thursday)
  })

  it('expects no change and little doubt of what has always stood still', () => {
    const course = taught(() => 21.5, 4 * day).course(21.5, slotsFrom(4 * day * minute, 24), null)
    for (const hours of [1, 4, 12]) {
      expect(changeAt(course, hours * 3600)).toBeCloseTo(0, 9)
      expect(spreadAt(course, hours * 3600)).toBeLessThan(0.7 * Math.sqrt(hours))
    }
  })

  it('does not take the chilled air of a minute for that of the next hours', () => {
    // a door chills the air by 3 K for ten minutes, several times a day and never at the same hour
    const shut = scatter(3)
    const openings = Array.from({ length: 60 }, (_, i) => i * 170 + 80 * shut())
    const air = (m: number) => 20 - openings.reduce((sum, from) => sum + (m >= from && m < from + 10 ? 3 : 0), 0)
    const now = Math.ceil(openings[56]! / 5) * 5 + 5
    expect(air(now)).toBe(17)
    const course = taught(air, now).course(17, slotsFrom(now * minute, 24), null)
    expect(17 + changeAt(course, 2 * 3600)).toBeGreaterThan(19)
  })

  it('is hardly worse than "it stays as it is" where nothing can be known, and its 90 % bands hold some 90 %', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1e6 }), seed => {
        const random = scatter(seed)
        const walk = [20]
        for (let n = 1; n <= (12 * day) / 5; n++) walk.push(walk[n - 1]! + 0.06 * random())
        const forecast = new NodeForecast()
        let [own, stays, hits, count] = [0, 0, 0, 0]
        for (let n = 0; n + 48 < walk.length; n++) {
          forecast.take(n * 5 * minute, walk[n]!, slotAt, alone)
          if (n < 3 * 288 || n % 12 > 0) continue
          const course = forecast.course(walk[n]!, slotsFrom(n * 5 * minute, 8), null)
          const error = walk[n]! + changeAt(course, 4 * 3600) - walk[n + 48]!
          own += error ** 2
          stays += (walk[n]! - walk[n + 48]!) ** 2
          if (Math.abs(error) <= 1.645 * spreadAt(course, 4 * 3600)) hits++
          count++
        }
        expect(Math.sqrt(own / stays)).toBeLessThan(1.25)
        expect(hits / count).toBeGreaterThan(0.8)
        expect(hits / count).toBeLessThan(0.98)
      }),
      { numRuns: 15 },
    )
  })

  it('moves with a sensor that was corrected', () => {
    fc.assert(
      fc.property(evenly(-2, 2), by => {
        const now = 3 * day + 600
        const slots = slotsFrom(now * minute, 24)
        const shifted = taught(setback, now)
        shifted.shift(by)
        const course = shifted.course(setback(now) + by, slots, null)
        const expected = taught(m => setback(m) + by, now).course(setback(now) + by, slots, null)
        for (let k = 0; k <= 24; k++) expect(course.change[k]).toBeCloseTo(expected.change[k]!, 6)
      }),
      { numRuns: 10 },
    )
  })
})
