import { describe, expect, it } from 'vitest'
import {
  fitSpindle,
  type KnownSpindle,
  knownAsStated,
  knownByTest,
  SpindleFollower,
  spindleAhead,
  spindleOutlook,
} from '../../../core/spindle/index.js'
import type { SpindleNow } from '../../../core/spindle/known.js'
import { ordinarySpindle, randomSpindle, spindleGrowth } from '../../../simulators/spindle.js'
import { dutyCycle, testOf } from './spindle-tests.js'

const start = Date.UTC(2026, 0, 14, 6)
/** 20 µm at 100 1/s with a time constant of 20 min */
const known: KnownSpindle = {
  law: { speeds: [100], steady: [20e-6], shares: [1], variation: 'alike', logs: [Math.log(1200)] },
  misfit: 0.5e-6,
  growth: 0.05,
  timeConstant: 0.1,
  testedAt: start,
}
const said = { axis: 'Z', sign: -1 as const }
const sum = (parts: readonly number[]) => parts.reduce((a, b) => a + b, 0)

describe('a spindle that is followed by its speed', () => {
  it('has the growth that the simulated one truly has, after one test: within 10 % of its largest at the 95th percentile', () => {
    const errors: number[] = []
    for (let seed = 1; seed <= 8; seed++) {
      const plant = randomSpindle(seed)
      const follower = new SpindleFollower(knownByTest(fitSpindle(testOf(plant, seed)), start))
      for (let cycle = 0; cycle < 6; cycle++) {
        const { course, times } = dutyCycle(seed * 100 + cycle)
        const fresh = new SpindleFollower(follower.known)
        // cold for two days before, so that where it began is forgotten
        fresh.take(start - 48 * 3_600_000, 0)
        let begun = 0
        const changes = course.map(({ speed, duration }) => {
          begun += duration
          return { at: start + 1000 * (begun - duration), speed }
        })
        const truth = spindleGrowth(plant, course, times)
        const largest = Math.max(...truth)
        times.forEach((after, i) => {
          const at = start + 1000 * after
          while (changes[0] && changes[0].at <= at) {
            const { at: moment, speed } = changes.shift()!
            fresh.take(moment, speed)
          }
          errors.push(Math.abs(sum(fresh.now(at)!.parts) - truth[i]!) / largest)
        })
      }
    }
    const p95 = errors.sort((a, b) => a - b)[Math.floor(0.95 * errors.length)]!
    console.log(`followed live: 95th percentile of errors ${(100 * p95).toFixed(1)} % of the largest growth`)
    expect(p95).toBeLessThan(0.1)
  })

  it('is unsure of what it did before it was watched, less and less', () => {
    const follower = new SpindleFollower(known)
    expect(follower.now(start)).toBeNull()
    follower.take(start, 0)
    const [first, later] = [follower.now(start)!, follower.now(start + 3_600_000)!]
    expect(sum(first.parts)).toBeCloseTo(10e-6, 9)
    expect(first.unsure).toBeCloseTo(20e-6 / Math.sqrt(12), 9)
    expect(later.unsure).toBeCloseTo(first.unsure * Math.exp(-3), 9)
    expect(sum(later.parts)).toBeCloseTo(10e-6 * Math.exp(-3), 9)
  })
})

describe('the growth of a spindle within a job', () => {
  const now: SpindleNow = { parts: [5e-6], speed: 0, unsure: 0 }
  const approach = (seconds: number, from: number, to: number) => to + (from - to) * Math.exp(-seconds / 1200)

  it('starts from its growth now, and stays at its speed or goes to the job’s', () => {
    const outlook = spindleOutlook(known, { said, speed: 100, now, zero: null })
    expect(outlook).toMatchObject({ axis: 'Z', sign: -1, isLive: true, isBeyond: false, zeros: null })
    for (const course of outlook.courses) expect(course(0, 0)).toBeCloseTo(5e-6, 12)
    const [rest, work] = outlook.courses.map(course => course(0, 1800))
    expect(rest).toBeCloseTo(approach(1800, 5e-6, 0), 12)
    expect(work).toBeCloseTo(approach(1800, 5e-6, 20e-6), 12)
    // a job that begins in ten minutes finds it cooler
    expect(spindleAhead(outlook, 600).courses[1]!(0, 1800)).toBeCloseTo(outlook.courses[1]!(600, 1800), 12)
    expect(outlook.held!(600).growth).toBeCloseTo(approach(600, 5e-6, 0), 12)
  })

  it('is the worst from cold to warm, or back, where its speed does not arrive', () => {
    const outlook = spindleOutlook(known, { said, speed: undefined, now: null, zero: undefined })
    expect(outlook).toMatchObject({ isLive: false, speed: 100, held: null })
    expect(outlook.zeros).toEqual([0, 20e-6])
    const [warming, cooling] = outlook.courses.map(course => course(9000, 1800))
    expect(warming).toBeCloseTo(approach(1800, 0, 20e-6), 12)
    expect(cooling).toBeCloseTo(approach(1800, 20e-6, 0), 12)
  })

  it('says of a speed that was not tested that it lies beyond, and is never surer than its law', () => {
    expect(spindleOutlook(known, { said, speed: 150, now: null, zero: null }).isBeyond).toBe(true)
    const { uncertainty } = spindleOutlook(known, { said, speed: 100, now, zero: null })
    expect(uncertainty(0)).toBeCloseTo(0.5e-6, 12)
    expect(uncertainty(10e-6)).toBeGreaterThan(0.5e-6)
    expect(
      spindleOutlook(known, { said, speed: 100, now: { ...now, unsure: 3e-6 }, zero: null }).uncertainty(0),
    ).toBeGreaterThan(3e-6)
  })

  it('can be stated in the shop file, as far as both growth and speed are', () => {
    const stated = { growth: 40e-6, growthUncertainty: 0.3, timeConstant: 1500, timeConstantUncertainty: 0.5 }
    expect(knownAsStated({ ...said, workSpeed: 120, stated })).toMatchObject({
      law: { speeds: [120], steady: [40e-6] },
      growth: 0.3,
      testedAt: null,
    })
    expect(knownAsStated({ ...said, workSpeed: 120 })).toBeNull()
  })

  it('keeps what a test tells of how sure it is', () => {
    const found = knownByTest(fitSpindle(testOf(ordinarySpindle, 1)), start)
    expect(found.growth).toBeGreaterThan(0)
    expect(found.growth).toBeLessThan(0.2)
    expect(found.timeConstant).toBeGreaterThan(0)
    expect(found.testedAt).toBe(start)
  })
})
