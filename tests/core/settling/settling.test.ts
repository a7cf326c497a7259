import { add, multiply, transpose } from 'mathjs'
import { linearRegression } from 'simple-statistics'
import { describe, expect, it } from 'vitest'
import {
  correct,
  type NodeEstimate,
  type ObserverSettings,
  ordinaryChange,
  predict,
  type Soaking,
  soak,
  startFollowing,
  steadyUncertainty,
  temperatureAfter,
} from '../../../core/settling/index.js'

describe('first-order settling', () => {
  it('is within a band after τ times the logarithm of how often the band goes into the step', () => {
    // 5 K·e^(−t/τ) = 0.1 K
    expect(temperatureAfter(25, 20, 3600, 3600 * Math.log(50))).toBeCloseTo(20.1, 9)
  })
  it('is a straight line in the logarithm, with slope −1/τ (simple-statistics fits it)', () => {
    const points = [0, 600, 1200, 2400].map((t): [number, number] => [
      t,
      Math.log(temperatureAfter(30, 20, 1800, t) - 20),
    ])
    expect(linearRegression(points).m).toBeCloseTo(-1 / 1800, 12)
  })
})

/** Repeatable noise, uniform in ±half. */
const noiseFrom = (seed: number, half: number) => {
  let state = seed
  return () => {
    state = (state * 1664525 + 1013904223) >>> 0
    return (state / 2 ** 32 - 0.5) * 2 * half
  }
}

/** Feeds an observer with a body that obeys the model and has its own heat; returns the last estimate. */
const follow = (excessAt: (minute: number) => number, minutes: number, settings: ObserverSettings, bad = -1) => {
  const noise = noiseFrom(7, 0.06)
  let truth = 20
  let estimate: NodeEstimate = startFollowing(0, truth, settings)
  for (let minute = 1; minute <= minutes; minute++) {
    truth = temperatureAfter(truth, 20 + excessAt(minute), settings.timeConstant, 60)
    const reading = minute === bad ? truth + 12 : truth + noise()
    estimate = correct(predict(estimate, 20, minute * 60_000, settings), reading, settings)
  }
  return { truth, estimate }
}

describe('observer of a node', () => {
  const settings: ObserverSettings = { timeConstant: 2700, steadyExcess: 0, noise: 0.05, wander: 0.4 }
  it('finds the excess a node is heading for long before it is reached', () => {
    const { truth, estimate } = follow(minute => (minute > 300 ? 5 : 0), 330, settings)
    expect(truth).toBeLessThan(22.6)
    expect(Math.abs(estimate.excess - 5)).toBeLessThan(2 * Math.sqrt(estimate.varExcess) + 0.5)
    expect(estimate.excess).toBeGreaterThan(3.5)
  })
  it('states an uncertainty that covers its error when nothing happens', () => {
    const { truth, estimate } = follow(() => 1, 900, settings)
    expect(Math.abs(estimate.temperature - truth)).toBeLessThan(3 * Math.sqrt(estimate.varTemperature))
    expect(Math.abs(estimate.excess - 1)).toBeLessThan(3 * Math.sqrt(estimate.varExcess))
    expect(Math.sqrt(estimate.varExcess)).toBeLessThan(0.5)
  })
  // Gelb (1974), 4.2, written with matrices of a general library: P' = F·P·Fᵀ + Q, and (Joseph's form, which holds for any
  // gain) P' = (I − K·H)·P·(I − K·H)ᵀ + K·r²·Kᵀ
  it('carries its covariance forward, and takes a reading into it, as the Kalman filter with matrices does', () => {
    const known = (estimate: NodeEstimate) => [
      [estimate.varTemperature, estimate.covariance],
      [estimate.covariance, estimate.varExcess],
    ]
    const expectSame = (found: number[][], wanted: number[][]) =>
      found.flat().forEach((value, i) => {
        expect(value / wanted.flat()[i]!).toBeCloseTo(1, 9)
      })
    const began = {
      ...startFollowing(0, 21, settings),
      varTemperature: 0.3,
      covariance: -0.2,
      varExcess: 0.9,
      excess: 2,
    }
    const dt = 1500
    const a = Math.exp(-dt / settings.timeConstant)
    const passing = [
      [a, 1 - a],
      [0, 1],
    ]
    const added = [
      [(0.02 ** 2 * dt) / 3600, 0],
      [0, (settings.wander ** 2 * dt) / 3600],
    ]
    const later = predict(began, 20, dt * 1000, settings)
    expectSame(known(later), add(multiply(multiply(passing, known(began)), transpose(passing)), added))
    expect(later.temperature).toBeCloseTo(22 + (21 - 22) * a, 12)
    expect(predict(later, 30, dt * 1000, settings)).toEqual(later)
    // of what is left to go, excess less temperature
    const toGo = [-1, 1]
    expect(steadyUncertainty(later)).toBeCloseTo(Math.sqrt(Number(multiply(multiply(toGo, known(later)), toGo))), 12)

    const innovation = 0.4
    const after = correct(later, later.temperature + innovation, settings)
    const gain = [
      (after.temperature - later.temperature) / innovation,
      (after.excess - later.excess) / innovation,
    ] as const
    expect(gain[0]).toBeCloseTo(later.varTemperature / (later.varTemperature + settings.noise ** 2), 12)
    expect(gain[1]).toBeCloseTo(later.covariance / (later.varTemperature + settings.noise ** 2), 12)
    const left = [
      [1 - gain[0], 0],
      [-gain[1], 1],
    ]
    const noise = gain.map(of => gain.map(other => of * other * settings.noise ** 2))
    expectSame(known(after), add(multiply(multiply(left, known(later)), transpose(left)), noise))
  })
  // Page (1954): each adds its deviation less half a standard deviation, and six of them are a shift
  it.each([
    ['above', 1.4],
    ['below', -1.4],
  ] as const)('is free to move once seven readings lie 1.4 standard deviations %s', (side, off) => {
    let estimate = startFollowing(0, 20, settings)
    const sums: number[] = []
    for (let minute = 1; minute <= 7; minute++) {
      const expected = predict(estimate, 20, minute * 60_000, { ...settings, wander: 0 })
      const sure = { ...expected, varExcess: 0.01, covariance: 0 }
      estimate = correct(
        sure,
        sure.temperature + off * Math.hypot(Math.sqrt(sure.varTemperature), settings.noise),
        settings,
      )
      sums.push(estimate[side])
      expect(estimate.varExcess > 0.2).toBe(minute === 7)
    }
    sums.forEach((sum, i) => {
      expect(sum).toBeCloseTo(i < 6 ? 0.9 * (i + 1) : 0, 6)
    })
  })
  it('is not moved by one bad reading', () => {
    const { truth, estimate } = follow(() => 0, 120, settings, 119)
    expect(Math.abs(estimate.temperature - truth)).toBeLessThan(0.1)
  })
})

describe('a soaking part', () => {
  /** a part of 30 min in surroundings that change every ten minutes */
  const soaked = (surroundings: readonly number[], timeConstant: number): Soaking =>
    surroundings.reduce((part: Soaking, around) => soak(part, around, timeConstant, 600), {
      at: 0,
      temperature: 20,
      slope: 0,
    })
  const door = [20, 14, 14, 20, 20]
  const thermostat = Array.from({ length: 60 }, (_, i) => (i % 2 ? 19 : 21))

  it('depends on its time constant as a difference quotient says', () => {
    for (const surroundings of [door, thermostat]) {
      const step = 1e-4
      const [longer, shorter] = [1 + step, 1 - step].map(factor => soaked(surroundings, 1800 * factor).temperature)
      const quotient = (longer! - shorter!) / (Math.log(1 + step) - Math.log(1 - step))
      expect(soaked(surroundings, 1800).slope).toBeCloseTo(quotient, 6)
    }
  })
  it('depends on it most, by e⁻¹ of the step, one time constant after a step', () => {
    expect(soak({ at: 0, temperature: 20, slope: 0 }, 26, 1800, 1800)).toEqual({
      at: 1_800_000,
      temperature: expect.closeTo(20 + 6 * (1 - Math.exp(-1)), 12),
      slope: expect.closeTo(-6 * Math.exp(-1), 12),
    })
  })
  it('hardly depends on it in air that swings faster than it follows', () => {
    expect(Math.abs(soaked(thermostat, 1800).slope)).toBeLessThan(0.2)
  })
  it('follows at once when it has no time constant', () => {
    expect(soaked(door, 0)).toEqual({ at: 3_000_000, temperature: 20, slope: 0 })
  })
})

describe('ordinary change', () => {
  it('ignores a rare event', () => {
    const noise = noiseFrom(3, 0.3)
    const calm = Array.from({ length: 288 }, () => 20 + noise())
    const withDoor = calm.map((value, i) => (i > 100 && i < 106 ? value - 8 : value))
    expect(ordinaryChange(withDoor, 9)).toBeLessThan(1.3 * ordinaryChange(calm, 9))
  })
  it('is unknown with too little', () => {
    expect(ordinaryChange([20, 21], 1)).toBeNaN()
  })
})
