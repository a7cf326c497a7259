import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { limitsKept, type SensorCourse } from '../../../core/environment/index.js'
import type { LimitsKept } from '../../../core/environment/limits.js'
import type { EnvironmentLimits } from '../../../core/shop.js'

const quarter = 900_000
const hour = 4 * quarter
const start = Date.UTC(2026, 2, 28)
const stated = { statedBy: 'an invented builder' }

const course = (means: number[], x: number | null = null, sensor = 'a'): SensorCourse => ({
  sensor,
  position: x === null ? null : { x, y: 0, z: 0 },
  means,
})
/** °C by interval, n days from `start` */
const days = (n: number, at: (interval: number) => number) => Array.from({ length: n * 96 }, (_, i) => at(i))
const kept = (limits: Omit<EnvironmentLimits, 'statedBy'>, courses: SensorCourse[], first = 0): LimitsKept =>
  limitsKept({ ...limits, ...stated }, courses, start, quarter, first)

describe('the limits of an environment', () => {
  it('are judged against a band about the reference temperature, with from when to when and how far', () => {
    const { limits, all, excursions } = kept({ band: { lowest: 19, highest: 21 } }, [
      course(days(1, i => (i >= 40 && i < 44 ? 21.5 + (i === 42 ? 0.2 : 0) : i === 80 ? 18.5 : 20))),
    ])
    expect(limits).toEqual([{ limit: 'band', within: 91 * quarter, outside: 5 * quarter, notKnown: 0 }])
    expect(all.outside).toBe(5 * quarter)
    expect(excursions).toMatchObject([
      { from: start + 40 * quarter, to: start + 44 * quarter, worst: 21.7, worstAt: start + 42 * quarter },
      { from: start + 80 * quarter, to: start + 81 * quarter, worst: 18.5, sensors: ['a'] },
    ])
    expect(excursions[0]!.beyond).toBeCloseTo(0.7, 12)
    expect(excursions[1]!.beyond).toBeCloseTo(0.5, 12)
  })

  it('take the rate over one hour, whichever way', () => {
    // a ramp of 0.8 K/h down for three hours, from 06:00
    const ramp = course(days(1, i => 20 - 0.2 * Math.min(Math.max(i - 24, 0), 12)))
    const { excursions, limits } = kept({ rate: 0.5 }, [ramp])
    expect(excursions).toHaveLength(1)
    // after three quarters of an hour the change of the hour is 0.6 K; it is 0.6 K still three quarters before the hour after its end is over
    expect(excursions[0]).toMatchObject({ from: start + 27 * quarter, to: start + 38 * quarter })
    expect(excursions[0]!.worst).toBeCloseTo(-0.8, 9)
    // the first hour has none before it
    expect(limits[0]!.notKnown).toBe(hour)
  })

  it('take the swing over the 24 hours before, of time that passes, and say nothing where too little is known', () => {
    // 1.5 K apart, ten hours from each other: outside from the second until 24 hours after the first
    const values = days(3, i => (i === 100 ? 19.5 : i === 140 ? 21 : 20))
    const { excursions, limits } = kept({ swing: 1.2 }, [course(values)], 96)
    expect(excursions).toMatchObject([{ from: start + 140 * quarter, to: start + 196 * quarter, worst: 1.5 }])
    expect(limits[0]!.notKnown).toBe(0)
    // with an eighth of the day missing nobody knows that it was kept
    const holes = values.map((v, i) => (i % 8 === 0 ? Number.NaN : v))
    const unsure = kept({ swing: 1.2 }, [course(holes)], 96).limits[0]!
    expect(unsure.within).toBe(0)
    // but that it was not kept is seen
    expect(unsure.outside).toBeGreaterThan(0)
  })

  it('take the gradient between the sensors that have positions, and say where none have', () => {
    const two = [
      course(
        days(1, () => 20),
        0,
        'a',
      ),
      course(
        days(1, i => (i < 48 ? 20.5 : 21.5)),
        2,
        'b',
      ),
    ]
    const { excursions, withoutPositions } = kept({ gradient: 0.5 }, two)
    expect(withoutPositions).toBe(false)
    expect(excursions).toMatchObject([{ limit: 'gradient', worst: 0.75, beyond: 0.25, sensors: ['a', 'b'] }])
    for (const without of [
      [two[0]!],
      [
        two[0]!,
        course(
          days(1, () => 30),
          null,
          'b',
        ),
      ],
      [two[0]!, course(two[1]!.means as number[], 0, 'b')],
    ]) {
      const told = kept({ gradient: 0.5 }, without)
      expect(told.withoutPositions).toBe(true)
      expect(told.limits).toEqual([])
      expect(told.all).toEqual({ within: 0, outside: 0, notKnown: 24 * hour })
    }
  })

  it('agree with a count of every interval by itself, whatever the courses', () => {
    const value = fc.oneof(
      { weight: 8, arbitrary: fc.integer({ min: 180, max: 220 }).map(tenths => tenths / 10) },
      { weight: 1, arbitrary: fc.constant(Number.NaN) },
    )
    const means = fc.array(value, { minLength: 200, maxLength: 200 })
    fc.assert(
      fc.property(means, means, fc.integer({ min: 0, max: 120 }), (a, b, first) => {
        const limits = { band: { lowest: 18.4, highest: 21.6 }, rate: 2.5, swing: 3.9, gradient: 1.1 }
        const courses = [course(a, 0, 'a'), course(b, 2.5, 'b')]
        const result = kept(limits, courses, first)
        // each definition once more, over all moments, in the plainest way
        const told = (limit: string, at: number): (boolean | null)[] =>
          [a, b].map(own => {
            if (Number.isNaN(own[at]!)) return null
            if (limit === 'band') return own[at]! < 18.4 || own[at]! > 21.6
            if (limit === 'rate') {
              const change = own[at]! - (at >= 4 ? own[at - 4]! : Number.NaN)
              return Number.isNaN(change) ? null : Math.abs(change) > 2.5
            }
            if (limit === 'swing') {
              const known = own.filter((v, k) => k <= at && k > at - 96 && !Number.isNaN(v))
              const swing = Math.max(...known) - Math.min(...known)
              return swing > 3.9 ? true : known.length < 0.9 * 96 ? null : false
            }
            const difference = Math.abs(a[at]! - b[at]!)
            return Number.isNaN(difference) ? null : difference / 2.5 > 1.1
          })
        const verdict = (limit: string, at: number) => {
          const all = told(limit, at)
          return all.includes(true) ? 'outside' : all.includes(false) ? 'within' : 'notKnown'
        }
        const kinds = ['band', 'rate', 'swing', 'gradient']
        for (const limit of kinds) {
          const count = { within: 0, outside: 0, notKnown: 0 }
          const runs: { from: number; to: number }[] = []
          for (let at = first; at < 200; at++) {
            const how = verdict(limit, at)
            count[how] += quarter
            if (how !== 'outside') continue
            if (at > first && verdict(limit, at - 1) === 'outside') runs.at(-1)!.to += quarter
            else runs.push({ from: start + at * quarter, to: start + (at + 1) * quarter })
          }
          expect(result.limits.find(each => each.limit === limit)).toEqual({ limit, ...count })
          expect(result.excursions.filter(e => e.limit === limit).map(({ from, to }) => ({ from, to }))).toEqual(runs)
        }
        const together = { within: 0, outside: 0, notKnown: 0 }
        for (let at = first; at < 200; at++) {
          const all = kinds.map(limit => verdict(limit, at))
          together[all.includes('outside') ? 'outside' : all.includes('notKnown') ? 'notKnown' : 'within'] += quarter
        }
        expect(result.all).toEqual(together)
        for (const each of result.excursions) expect(each.beyond).toBeGreaterThan(0)
      }),
      { numRuns: 60 },
    )
  })
})
