import { describe, expect, it } from 'vitest'
import { growthTest } from '../../../core/spindle/growth-test.js'
import { compareTests, fitSpindle, spindleOf } from '../../../core/spindle/index.js'
import { growthDuring, type Law } from '../../../core/spindle/law.js'
import { randomStream } from '../../../simulators/random.js'
import { ordinarySpindle } from '../../../simulators/spindle.js'
import { testOf, usualSteps } from './spindle-tests.js'

const oneSpeed = (duration: number) => [
  { speed: 100, duration },
  { speed: 0, duration },
]
const minutes = (count: number) => Array.from({ length: count }, (_, i) => 60 * (i + 1))

/** A test of a spindle that follows a law exactly, but for scatter. */
const drawn = (law: Law, steps: { speed: number; duration: number }[], seed: number, scatter = 0.5e-6) => {
  const random = randomStream(seed, 'readings')
  const end = steps.reduce((sum, { duration }) => sum + duration, 0)
  const times = minutes(end / 60)
  const growth = growthDuring(spindleOf(law), steps, times)
  return {
    steps,
    readings: times.map((at, i) => ({ at, growth: growth[i]! + 2e-6 + scatter * random.normal() })),
    toolLength: null,
    indicatorHeight: null,
    resolution: 0,
  }
}
const one: Law = { speeds: [100], steady: [20e-6], shares: [1], variation: 'alike', logs: [Math.log(1200)] }
const two: Law = { ...one, shares: [0.35, 0.65], logs: [Math.log(240), Math.log(10)] }
const byDirection: Law = { ...one, variation: 'by direction', logs: [Math.log(1200), Math.log(1.5)] }

describe('the fit of a growth test', () => {
  it('finds one part, two parts, and a spindle that cools more slowly than it heats, where they are', () => {
    const found = (law: Law) => fitSpindle(drawn(law, oneSpeed(5400), 1))
    expect(found(one).law.shares).toHaveLength(1)
    expect(found(two).law.shares).toHaveLength(2)
    const { steady } = found(byDirection)
    expect(steady[0]!.heating[0]!.seconds).toBeLessThan(steady[0]!.cooling[0]!.seconds)
    for (const [law, seconds] of [
      [one, [1200]],
      [two, [240, 2400]],
      [byDirection, [1200]],
    ] as const) {
      const model = found(law)
      expect(Math.abs(model.steady[0]!.growth - 20e-6)).toBeLessThan(4 * model.steady[0]!.standardError)
      model.steady[0]!.heating.forEach((constant, part) => {
        expect(Math.abs(constant.seconds - seconds[part]!)).toBeLessThan(4 * constant.standardError)
      })
      expect(model.zero).toBeCloseTo(2e-6, 6)
    }
  })

  it('keeps its intervals: 90 % of them hold the steady growth (allowed: three standard deviations of the count)', () => {
    const inside = Array.from({ length: 60 }, (_, seed) => {
      const { growth, halfInterval } = fitSpindle(drawn(one, oneSpeed(3600), seed)).steady[0]!
      return Math.abs(growth - 20e-6) <= halfInterval
    }).filter(Boolean).length
    console.log(`steady growth within its 90 % interval: ${inside} of 60`)
    expect(Math.abs(inside - 54)).toBeLessThanOrEqual(3 * Math.sqrt(60 * 0.9 * 0.1))
  })

  it('says of a step that was too short that it had not settled, and widens its interval', () => {
    const short = fitSpindle(drawn(one, oneSpeed(600), 1)).steady[0]!
    const long = fitSpindle(drawn(one, oneSpeed(5400), 1)).steady[0]!
    expect([short.settled, long.settled]).toEqual([false, true])
    expect(short.halfInterval).toBeGreaterThan(5 * long.halfInterval)
  })

  it('flags a stray reading, shows which, and lets it count for nothing', () => {
    const test = drawn(one, oneSpeed(5400), 3)
    const clean = fitSpindle(test)
    const stray = structuredClone(test)
    for (const i of [20, 100]) stray.readings[i]!.growth += 8e-6
    const found = fitSpindle(stray)
    expect(clean.outliers).not.toContain(20)
    expect(found.outliers).toEqual(expect.arrayContaining([20, 100]))
    expect(found.outliers.length).toBeLessThan(5)
    expect(Math.abs(found.steady[0]!.growth - clean.steady[0]!.growth)).toBeLessThan(clean.steady[0]!.standardError)
  })

  it('says so where a law of this kind does not fit', () => {
    const test = drawn(one, oneSpeed(5400), 4)
    // growth that swings, as under a cooler that switches
    test.readings.forEach(reading => {
      reading.growth += 3e-6 * Math.sin(reading.at / 300)
    })
    expect(fitSpindle(test).fits).toBe(false)
    expect(fitSpindle(drawn(one, oneSpeed(5400), 4)).fits).toBe(true)
  })

  it('shows two thousandths of an inch, as an ordinary spindle often has (common practice, no source)', () => {
    const { steady, fits } = fitSpindle(testOf(ordinarySpindle, 1))
    expect(fits).toBe(true)
    expect(steady.at(-1)!.growth).toBeGreaterThan(0.002 * 0.0254)
    expect(steady[0]!.growth).toBeLessThan(0.002 * 0.0254)
  })

  it('names what is missing', () => {
    const test = testOf(ordinarySpindle, 1)
    const few = { ...test, readings: test.readings.filter(({ at }) => at <= 3600 || at > 3600 * 2) }
    few.steps = usualSteps.slice(0, 4)
    few.readings = few.readings.filter(({ at }) => at <= 4 * 3600)
    expect(() => fitSpindle(few)).toThrow('0 readings at 6000 1/min')
    expect(() => fitSpindle({ ...test, steps: [{ speed: 0, duration: 30_000 }] })).toThrow('never turned')
    expect(growthTest.safeParse({ ...test, readings: [{ at: 1e6, growth: 0 }] }).error?.issues[0]?.message).toContain(
      'after the last step',
    )
    expect(growthTest.safeParse(test).success).toBe(true)
  })
})

describe('two tests compared', () => {
  it('find a spindle that changed, and hardly ever one that did not', () => {
    const models = Array.from({ length: 21 }, (_, seed) => fitSpindle(testOf(ordinarySpindle, seed)))
    const pairs = models.slice(1).map((model, i) => compareTests(models[i]!, model))
    const mistaken = pairs.filter(speeds => speeds.some(({ changed }) => changed)).length
    console.log(`unchanged spindles called changed: ${mistaken} of ${pairs.length}`)
    // one in twenty is meant; four of 20 would be beyond three standard deviations
    expect(mistaken).toBeLessThan(4)
    const worn = fitSpindle(testOf({ ...ordinarySpindle, friction: 1.25 * ordinarySpindle.friction }, 99))
    expect(compareTests(models[0]!, worn).at(-1)).toMatchObject({ speed: 200, changed: true })
    expect(compareTests(models[0]!, { ...worn, steady: [] })).toEqual([])
  })
})
