import { quantileSeq } from 'mathjs'
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus'
import { median as independentMedian } from 'simple-statistics'
import { describe, expect, it } from 'vitest'
import { type AirOfNight, type NightCourses, nightOf } from '../../../core/morning/index.js'
import { setbackOf, setbackSeen } from '../../../core/morning/setback.js'
import { usualCourse } from '../../../core/morning/usual.js'
import { quantile } from '../../../core/statistics/index.js'

const minute = 60_000
const quarter = 15 * minute
const hour = 60 * minute
/** Monday 12 January 2026, 18:00 UTC */
const evening = Date.UTC(2026, 0, 12, 18)
const morning = evening + 13 * hour

const drawn = (seed: number) => {
  const generator = xoroshiro128plus(seed)
  const uniform = () => (generator.next() >>> 0) / 2 ** 32
  /** about normal: the sum of twelve */
  return { uniform, normal: () => Array.from({ length: 12 }, uniform).reduce((sum, u) => sum + u, -6) }
}

interface Hall {
  /** ms; heating off and on */
  off: number
  on: number
  /** K; steady level without heating, below that with it */
  apart?: number
  /** °C; a thermostat keeps this at night */
  least?: number
  noise?: number
  sign?: 1 | -1
  seed?: number
}

/** Means of quarter hours of a hall: air and walls in steps of a minute, its heater on full power or by a thermostat. */
const hallAir = ({ off, on, apart = 9, least = 0, noise = 0.02, sign = 1, seed = 1 }: Hall) => {
  const { normal } = drawn(seed)
  const at: number[] = []
  const value: number[] = []
  let [air, wall, heats, sum] = [20, 19.5, true, 0]
  for (let moment = evening - 6 * hour; moment < morning + 3 * hour; moment += minute) {
    const set = moment >= off && moment < on ? least : 20
    if (air < set - 0.2) heats = true
    if (air > set + 0.2) heats = false
    const outdoors = 20 - apart
    air += (outdoors - air) / 240 + (wall - air) / 60 + (heats ? 0.085 : 0)
    wall += (air - wall) / 900
    sum += air
    if ((moment + minute) % quarter === 0) {
      at.push(moment + minute - quarter / 2)
      value.push(20 + sign * (sum / 15 - 20) + noise * normal())
      sum = 0
    }
  }
  const first = at.findIndex(each => each > evening - 2 * hour)
  return { at: at.slice(first), value: value.slice(first) as (number | null)[] }
}

const until = (course: ReturnType<typeof hallAir>, to: number) => ({
  at: course.at,
  value: course.value.map((value, i) => (course.at[i]! < to ? value : null)),
})

describe('the usual night', () => {
  it('is the median and the 90 % band of the nights known at each time', () => {
    const { normal, uniform } = drawn(7)
    const at = Array.from({ length: 20 }, (_, i) => evening + i * quarter)
    const nights = Array.from({ length: 14 }, () => at.map(() => (uniform() < 0.2 ? null : 18 + normal())))
    const usual = usualCourse(at, nights)!
    expect(usual.at).toEqual(at)
    at.forEach((_, i) => {
      const known = nights.map(night => night[i]!).filter(value => value !== null)
      expect(usual.median[i]).toBeCloseTo(independentMedian(known), 12)
      expect(usual.low[i]).toBeCloseTo(quantileSeq(known, 0.05) as number, 12)
      expect(usual.high[i]).toBeCloseTo(quantileSeq(known, 0.95) as number, 12)
    })
    expect(quantile([], 0.5)).toBeNaN()
    expect(quantile([3, 1, 2], 0)).toBe(1)
    expect(quantile([3, 1, 2], 1)).toBe(3)
  })

  it('is not told by fewer than three', () => {
    const at = [evening, evening + quarter]
    expect(
      usualCourse(at, [
        [1, 2],
        [1, 2],
      ]),
    ).toBeNull()
    expect(
      usualCourse(at, [
        [1, 2],
        [1, null],
        [1, 2],
      ])!.at,
    ).toEqual([evening])
  })
})

describe('setback and heating, from the air alone', () => {
  it('are found to within twelve minutes, whatever the quarter hour they fall into', () => {
    for (let seed = 1; seed <= 40; seed++) {
      const off = evening + ((37 * seed) % 180) * minute
      const on = morning - (60 + ((53 * seed) % 180)) * minute
      const sign = seed % 4 === 0 ? -1 : 1
      const seen = setbackSeen(until(hallAir({ off, on, seed, sign }), morning))
      expect(Math.abs(seen.began! - off) / minute, `seed ${seed}, set back`).toBeLessThanOrEqual(12)
      expect(Math.abs(seen.back! - on) / minute, `seed ${seed}, back`).toBeLessThanOrEqual(12)
    }
  })

  it('are not taken from a thermostat that keeps the night’s temperature', () => {
    for (let seed = 1; seed <= 20; seed++) {
      const on = morning - 100 * minute
      const cold = { off: evening + 2 * hour, on, least: 17.5, apart: 14, seed }
      expect(
        Math.abs(setbackSeen(until(hallAir(cold), morning)).back! - on) / minute,
        `seed ${seed}`,
      ).toBeLessThanOrEqual(12)
      expect(setbackSeen(until(hallAir({ ...cold, on: morning + 99 * hour }), morning)).back, `seed ${seed}`).toBeNull()
    }
  })

  it('are not seen in air that is kept, or only drifts with the weather', () => {
    const still = hallAir({ off: morning + 99 * hour, on: morning + 99 * hour })
    expect(setbackSeen(still)).toEqual({ began: null, back: null })
    const drifting = {
      at: still.at,
      value: still.at.map(at => 22 + 1.5 * Math.cos((2 * Math.PI * (at - evening)) / (24 * hour))),
    }
    expect(setbackSeen(drifting)).toEqual({ began: null, back: null })
    expect(setbackOf(drifting, [])).toBeNull()
    expect(setbackSeen({ at: [], value: [] })).toEqual({ began: null, back: null })
  })

  it('are compared with the median of the nights of the same kind', () => {
    const ons = [-150, -160, -155, -170, -140].map(minutes => morning + minutes * minute)
    const nights = ons.map((on, seed) => hallAir({ off: evening + 2 * hour, on, seed }).value)
    const found = setbackOf(
      until(hallAir({ off: evening + 2 * hour, on: morning - 90 * minute, seed: 9 }), morning),
      nights,
    )!
    expect(Math.abs(found.usualBack! - independentMedian(ons)) / minute).toBeLessThanOrEqual(12)
    expect(
      setbackOf(until(hallAir({ off: evening, on: morning - hour }), morning), nights.slice(3))!.usualBack,
    ).toBeNull()
  })
})

const usualOns = [-150, -160, -155, -170, -140]
const airWith = (on: number, to = morning): AirOfNight => {
  const hall = hallAir({ off: evening + 2 * hour, on, seed: 9 })
  return {
    id: 'shop-air',
    name: 'Shop air',
    ...until(hall, to),
    nights: usualOns.map(
      (minutes, seed) => hallAir({ off: evening + 2 * hour, on: morning + minutes * minute, seed }).value,
    ),
    outside: null,
  }
}
const courses = (over: Partial<NightCourses> = {}): NightCourses => ({
  from: evening,
  to: morning,
  airs: [airWith(morning - 155 * minute)],
  sources: [],
  machines: [],
  failed: [],
  ...over,
})

describe('the night', () => {
  it('runs from the shift’s end to now, with its swing and its fastest hour', () => {
    const night = nightOf(courses())!
    const [air] = night.airs
    expect([air!.course.at[0], air!.course.at.at(-1)]).toEqual([evening + quarter / 2, morning - quarter / 2])
    const values = air!.course.value as number[]
    expect(air!.swing).toBeCloseTo(Math.max(...values) - Math.min(...values), 12)
    const rates = values.slice(4).map((value, i) => value - values[i]!)
    expect(Math.abs(air!.fastest!.rate)).toBeCloseTo(Math.max(...rates.map(Math.abs)), 12)
    expect(air!.nights).toBe(5)
    expect(night.unusual).toEqual([])
  })

  it('names heating that came late, or has not come', () => {
    const late = nightOf(courses({ airs: [airWith(morning - 95 * minute)] }))!
    expect(late.unusual).toMatchObject([{ kind: 'heating' }])
    const [heating] = late.unusual
    if (heating?.kind !== 'heating') throw new Error('no heating')
    expect(Math.abs((heating.back! - heating.usual) / minute - 60)).toBeLessThanOrEqual(15)
    expect(heating.usualAir).toBeGreaterThan(heating.air)
    const never = nightOf(courses({ airs: [airWith(morning + 99 * hour)] }))!
    expect(never.unusual).toMatchObject([{ kind: 'heating', back: null }])
    // an hour before it usually comes, nothing is late
    const early = morning - 200 * minute
    expect(nightOf(courses({ to: early, airs: [airWith(morning + 99 * hour, early)] }))!.unusual).toEqual([])
  })

  it('names doors that stood open for longer, the coldest outdoors, air and growth beyond the usual', () => {
    const at = [...airWith(morning).at]
    const flat = (level: number) => at.map(() => level)
    const steady = { at, outside: null, nights: [1, 2, 3, 4].map(level => flat(level)) }
    const night = nightOf(
      courses({
        airs: [
          { ...steady, id: 'outdoors', name: 'Outdoors', value: until({ at, value: flat(-3) }, morning).value },
          { ...steady, id: 'fine-room', name: 'Fine room', value: until({ at, value: flat(2.5) }, morning).value },
          { ...steady, id: 'store', name: 'Store', value: until({ at, value: flat(4.4) }, morning).value },
        ],
        sources: [
          {
            source: 'yard',
            kind: 'door',
            active: [{ from: morning - 80 * minute, to: morning }],
            nights: [600, 660, 700],
          },
          {
            source: 'dock',
            kind: 'door',
            active: [{ from: morning - 80 * minute, to: morning }],
            nights: [600, 4000, 7000],
          },
          { source: 'oven', kind: 'heat source', active: [{ from: evening, to: morning }], nights: [0, 0, 0] },
        ],
        machines: [
          {
            machine: 'mill',
            outside: null,
            axes: [
              { axis: 'X', at, value: at.map((_, i) => 1e-6 * i), nights: [9e-6, 10e-6, 11e-6] },
              { axis: 'Y', at, value: at.map((_, i) => 3e-7 * i), nights: [9e-6, 10e-6, 11e-6] },
            ],
          },
        ],
      }),
    )!
    expect(night.unusual.map(({ kind }) => kind)).toEqual(['open', 'outdoors', 'air', 'growth'])
    expect(night.unusual[0]).toMatchObject({ source: 'yard', for: 4800, usual: 660, still: true })
    expect(night.unusual[1]).toMatchObject({ lowest: -3, ofNights: 4 })
    expect(night.unusual[2]).toMatchObject({ name: 'Store', now: 4.4 })
    // 52 quarter hours of a micrometre each
    expect(night.unusual[3]).toMatchObject({ machine: 'mill', axis: 'X', usual: 10e-6 })
    expect((night.unusual[3] as { amount: number }).amount).toBeCloseTo(51e-6, 12)
  })

  it('of a first day is told without anything usual, and of nothing is none', () => {
    const first = nightOf(courses({ airs: [{ ...airWith(morning - 155 * minute), nights: [] }] }))!
    expect(first.airs[0]).toMatchObject({ usual: null, nights: 0 })
    expect(first.setback!.usualBack).toBeNull()
    expect(first.unusual).toEqual([])
    const nothing = { ...airWith(morning), value: airWith(morning).at.map(() => null) }
    expect(nightOf(courses({ airs: [nothing] }))).toBeNull()
    expect(nightOf(courses({ airs: [] }))).toBeNull()
  })
})
