import fc from 'fast-check'
import { linearRegression } from 'simple-statistics'
import { describe, expect, it } from 'vitest'
import { compareWithLog, sensitivityToAir, swingBetween, worstWindow } from '../../../core/environment/index.js'
import { randomStream } from '../../../simulators/random.js'
import { evenly } from '../../evenly.js'

/** every pair of samples that one window can hold: the definition, n² */
const byDefinition = (times: readonly number[], values: readonly number[], length: number): number => {
  let largest = Number.NaN
  for (let i = 0; i < times.length; i++)
    for (let k = i; k < times.length && times[k]! - times[i]! <= length; k++) {
      const change = Math.abs(values[k]! - values[i]!)
      if (Number.isFinite(change) && !(change <= largest)) largest = change
    }
  return largest
}

const series = fc
  .array(
    fc.record({
      step: fc.integer({ min: 1, max: 50 }),
      value: fc.oneof({ weight: 9, arbitrary: evenly(-100, 100) }, { weight: 1, arbitrary: fc.constant(Number.NaN) }),
    }),
    { minLength: 0, maxLength: 60 },
  )
  .map(steps => {
    let at = 1000
    return {
      times: steps.map(({ step }) => {
        at += step
        return at
      }),
      values: steps.map(({ value }) => value),
    }
  })

describe('the worst window', () => {
  it('is that of the definition, for any series and length', () => {
    fc.assert(
      fc.property(series, fc.integer({ min: 1, max: 400 }), ({ times, values }, length) => {
        const found = worstWindow(times, values, length)
        const wanted = byDefinition(times, values, length)
        if (found === null) return Number.isNaN(wanted)
        // what is reported is where it was found
        const inWindow = swingBetween(times, values, found.from, found.to)
        return (
          found.change === wanted &&
          inWindow === found.change &&
          found.to - found.from <= length &&
          Math.abs(values[times.indexOf(found.highestAt)]! - values[times.indexOf(found.lowestAt)]!) === found.change
        )
      }),
      { numRuns: 2000 },
    )
  })

  it('costs in proportion to the samples, not to the window', () => {
    const n = 200_000
    const times = Array.from({ length: n }, (_, i) => i * 1000)
    const values = times.map(t => Math.sin(t / 7e6) + Math.sin(t / 3.3e5))
    const took = (length: number) => {
      const from = performance.now()
      worstWindow(times, values, length)
      return performance.now() - from
    }
    took(1000)
    // the definition would take 10^5 times as long for the second; a busy computer may make it a few times
    expect(took(1e8)).toBeLessThan(20 * took(1000) + 200)
  })

  it('refuses a window without length', () => {
    expect(() => worstWindow([0], [1], 0)).toThrow(/above 0/)
    expect(() => worstWindow([0], [1, 2], 5)).toThrow(/as many/)
    expect(worstWindow([], [], 5)).toBeNull()
    expect(swingBetween([0, 1], [3, 5], 2, 3)).toBeNaN()
  })
})

describe('sensitivity to the air', () => {
  const minute = 60_000

  it('agrees with a general-purpose library where there is no lag', () => {
    const random = randomStream(3, 'sensitivity')
    const air = Array.from({ length: 400 }, (_, i) => 21 + Math.sin(i / 40) + 0.05 * random.normal())
    const growth = air.map(t => 4e-6 * t + 0.2e-6 * random.normal())
    const found = sensitivityToAir(growth, air, minute, 0)!
    const { m } = linearRegression(air.map((t, i) => [t, growth[i]!]))
    expect(found.slope).toBeCloseTo(m, 12)
    expect(found.lag).toBe(0)
  })

  it('finds slope and lag again', () => {
    const air = Array.from({ length: 1500 }, (_, i) => 21 + Math.sin((2 * Math.PI * i) / 720))
    // a body of 45 min answers a sine of 720 min weakened and late (a first-order low-pass: any textbook on control)
    const turn = (2 * Math.PI * 45) / 720
    const late = Math.atan(turn)
    const weaker = 1 / Math.hypot(1, turn)
    const growth = air.map((_, i) => 3e-6 * weaker * Math.sin((2 * Math.PI * i) / 720 - late))
    const found = sensitivityToAir(growth, air, minute, 120 * minute)!
    expect(found.slope * 1e6).toBeCloseTo(3, 1)
    expect(Math.abs(found.lag / minute - 45)).toBeLessThanOrEqual(2)
    expect(found.explained).toBeGreaterThan(0.999)
  })

  it('leaves no hour out: a setback at the very beginning counts, and so does what the machine brought along', () => {
    // 10 h of a night: the air falls by 3 K within the first two hours; a body of 3 h follows, 4 µm/K, 2 K warm of work
    const outside = Array.from({ length: 600 }, (_, i) => 21 - 3 * Math.min(i / 120, 1))
    let body = 23
    const growth = outside.map(t => {
      body += (t - body) / 180
      return 4e-6 * body
    })
    const found = sensitivityToAir(growth, outside, minute, 12 * 60 * minute)!
    expect(found.pairs).toBe(600)
    expect(found.slope * 1e6).toBeCloseTo(4, 1)
    expect(Math.abs(found.lag / minute - 180)).toBeLessThan(10)
  })

  it('covers the true slope within two standard errors as often as it says, though the rest drifts', () => {
    // 95 % of two-sided normal intervals; the residual is an AR(1) process with a memory of 20 steps
    let covered = 0
    let coveredByUsual = 0
    const runs = 300
    for (let seed = 0; seed < runs; seed++) {
      const random = randomStream(seed, 'coverage')
      const a = Math.exp(-1 / 20)
      let x = 0
      let e = 0
      const air: number[] = []
      const growth: number[] = []
      for (let i = 0; i < 1000; i++) {
        x = a * x + Math.sqrt(1 - a * a) * random.normal()
        e = a * e + Math.sqrt(1 - a * a) * random.normal()
        air.push(21 + x)
        growth.push(2e-6 * x + 1e-6 * e)
      }
      const found = sensitivityToAir(growth, air, minute, 0)!
      if (Math.abs(found.slope - 2e-6) <= 2 * found.standardError) covered++
      const usual = Math.sqrt((1 - found.explained) / 1000) * 2.2e-6
      if (Math.abs(found.slope - 2e-6) <= 2 * usual) coveredByUsual++
    }
    expect(covered / runs).toBeGreaterThan(0.9)
    expect(covered / runs).toBeLessThan(0.99)
    // and the allowance is needed: without it the interval would be far too short
    expect(coveredByUsual / runs).toBeLessThan(0.6)
  })

  it('says nothing where the air hardly moved or too little is known', () => {
    const still = Array.from({ length: 300 }, (_, i) => 21 + 0.2 * Math.sin(i / 30))
    expect(sensitivityToAir(still, still, minute, 0)).toBeNull()
    expect(sensitivityToAir([1, 2], [20, 25], minute, 0)).toBeNull()
    const gone = still.map(() => Number.NaN)
    expect(sensitivityToAir(gone, gone, minute, 0)).toBeNull()
  })
})

describe('comparison with a log', () => {
  const times = [0, 100, 200, 300, 1000]
  const predicted = [0, 1e-6, 2e-6, 3e-6, 5e-6]

  it('takes out where the indicator stood, and minds its sense', () => {
    const log = [50, 150, 250].map(at => ({ at, value: 40e-6 - at * 1e-8 }))
    const found = compareWithLog(log, -1, times, predicted, 200)!
    expect(found.rms).toBeLessThan(1e-15)
    expect(found.leftOut).toBe(0)
    expect(found.points.map(p => Math.round(p.measured * 1e9))).toEqual([0, 1000, 2000])
    expect(found.rmsMeasured).toBeCloseTo(Math.sqrt(2 / 3) * 1e-6, 12)
  })

  it('gives residuals, their root mean square and the largest', () => {
    // residuals about their mean of 1 µm: −1, −1, +2 µm
    const log = [
      { at: 100, value: 1e-6 },
      { at: 200, value: 2e-6 },
      { at: 300, value: 6e-6 },
    ]
    const found = compareWithLog(log, 1, times, predicted, 200)!
    expect(found.points.map(p => Math.round(p.residual * 1e9))).toEqual([-1000, -1000, 2000])
    expect(found.rms).toBeCloseTo(Math.sqrt(2) * 1e-6, 12)
    expect(found.largest).toEqual({ at: 300, residual: found.points[2]!.residual })
  })

  it('leaves out what lies in a gap, before or after the prediction', () => {
    const log = [-5, 100, 200, 600, 1000, 1200].map(at => ({ at, value: 0 }))
    const found = compareWithLog(log, 1, times, predicted, 200)!
    expect(found.points.map(p => p.at)).toEqual([100, 200, 1000])
    expect(found.leftOut).toBe(3)
    expect(compareWithLog(log.slice(0, 1), 1, times, predicted, 200)).toBeNull()
  })
})
