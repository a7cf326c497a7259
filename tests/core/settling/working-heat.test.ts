import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { drivingExcess, WorkingHeat } from '../../../core/settling/index.js'
import { twoClasses } from '../../../core/settling/working-heat.js'
import { evenly } from '../../evenly.js'

/** Uniform numbers between 0 and 1 (Park and Miller 1988). */
const uniform = (seed: number) => {
  let state = (seed % 2147483646) + 1
  return () => {
    state = (state * 48271) % 2147483647
    return state / 2147483647
  }
}

describe('the driving excess', () => {
  it('gives back the heat that moved a first-order body', () => {
    fc.assert(
      fc.property(evenly(10, 30), evenly(10, 30), evenly(-3, 10), evenly(600, 20_000), (from, air, heat, tau) => {
        const to = air + heat + (from - air - heat) * Math.exp(-900 / tau)
        expect(drivingExcess(from, to, air, tau, 900)).toBeCloseTo(heat, 6)
      }),
    )
  })
})

describe('two classes', () => {
  it('are told apart between them', () => {
    fc.assert(
      fc.property(evenly(-5, 5), evenly(1, 10), fc.integer({ min: 10, max: 90 }), (low, apart, below) => {
        const values = Array.from({ length: 100 }, (_, k) => (k < below ? low : low + apart) + 0.001 * (k % 10))
        const found = twoClasses(values)!
        expect(found.threshold).toBeGreaterThan(low)
        expect(found.threshold).toBeLessThanOrEqual(low + apart)
        expect(found.apart / apart).toBeCloseTo(1, 1)
        expect(found.above).toBeCloseTo(1 - below / 100, 9)
        expect(found.explained).toBeGreaterThan(0.98)
      }),
    )
  })

  it('are none where all is alike', () => expect(twoClasses([2, 2, 2, 2])).toBeNull())
})

/**
 * Screw (40 min) and column (150 min) in air that swings by the day, five days; jobs at random from 7 to 17 heat the screw
 * by 1.5 K, each by up to a fifth more or less. Integrated minute by minute.
 */
const lived = (seed: number, heat: number) => {
  const random = uniform(seed)
  const learned = new WorkingHeat(2)
  const taus = [2400, 9000]
  const bodies = [20, 20]
  const past: number[][] = []
  let [job, until, added] = [false, 7 * 60, 0]
  for (let m = 0; m < 5 * 1440; m++) {
    const hour = (m / 60) % 24
    if (m >= until) {
      job = !job && hour >= 7 && hour < 17
      until = m + (job ? 30 + 60 * random() : hour >= 7 && hour < 17 ? 8 + 15 * random() : 10)
      added = job ? heat * (0.8 + 0.4 * random()) : 0
    }
    const air = 20 + 1.5 * Math.sin((2 * Math.PI * (hour - 9)) / 24)
    bodies[0]! += (60 / taus[0]!) * (air + added - bodies[0]!)
    bodies[1]! += (60 / taus[1]!) * (air - bodies[1]!)
    if (m % 5 !== 0) continue
    past.push([air, ...bodies.map(t => t + 0.02 * (random() - 0.5))])
    const [now, before] = [past.at(-1)!, past.at(-4)]
    if (!before) continue
    const around = past.slice(-4).reduce((sum, [a]) => sum + a!, 0) / 4
    learned.take(
      taus.map((tau, i) => drivingExcess(before[i + 1]!, now[i + 1]!, around, tau, 900)),
      air,
    )
  }
  return learned.bodies
}

describe('what work adds', () => {
  it('is learned body by body from when the own heat tells that the machine works', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1e6 }), seed => {
        const [screw, column] = lived(seed, 1.5)
        // breaks shorter than a quarter of an hour cannot be told: a day may be one spell
        expect(screw!.spells).toBeGreaterThan(2)
        expect(Math.abs(screw!.added - 1.5)).toBeLessThan(0.35)
        expect(screw!.uncertainty).toBeGreaterThan(0.15)
        expect(screw!.uncertainty).toBeLessThan(0.6)
        expect(Math.abs(screw!.rest!)).toBeLessThan(0.3)
        expect(column!.added).toBeLessThan(0.2)
      }),
      { numRuns: 10 },
    )
  })

  it('stays a wide guess where nothing has been seen to work', () => {
    const [screw] = lived(7, 0)
    expect(screw!.spells).toBe(0)
    expect(screw!.added).toBe(0.6)
    expect(screw!.uncertainty).toBe(0.6)
  })
})
