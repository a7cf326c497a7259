import { mean, median, sampleStandardDeviation } from 'simple-statistics'
import { describe, expect, it } from 'vitest'
import { unknownStep } from '../../../core/calibration/common-temperature.js'
import { commonTemperature, offsetInForce, stepOf } from '../../../core/calibration/index.js'
import type { OffsetChange } from '../../../core/state.js'
import { randomStream } from '../../../simulators/random.js'
import { createSensor } from '../../../simulators/sensor.js'

const hour = 3_600_000
const every = (interval: number, length: number) => Array.from({ length: length / interval }, (_, i) => i * interval)

/** Simulated sensors together in a box whose temperature drifts a little; what they send, and how far each is off. */
const together = (seed: number, count: number, { resolution, noise }: { resolution: number; noise: number }) => {
  const times = every(10_000, 2 * hour)
  const box = (time: number) => 20 + 0.02 * (time / hour)
  return Array.from({ length: count }, (_, index) => {
    let now = 0
    const plant = {
      id: `sensor-${index}`,
      topic: `box/${index}`,
      unit: '°C' as const,
      interval: 10,
      payload: { kind: 'number' as const },
      noise,
      bias: 0.15,
      placement: 0,
      resolution,
      lag: 20,
      airShare: 0,
    }
    const make = (quiet: boolean) =>
      createSensor(
        { ...plant, ...(quiet && { noise: 0, resolution: 1e-6 }) } as Parameters<typeof createSensor>[0],
        seed,
        () => (quiet ? 20 : box(now)),
        () => 20,
        ['open', 'shut'],
      )
    const exact = make(true)
    exact.follow(10)
    const sensor = make(false)
    const values = times.map(time => {
      now = time
      sensor.follow(10)
      return Number(sensor.payload(time))
    })
    return { times, values, off: Number(exact.payload(0)) - 20 }
  })
}

/** Part of the sensors whose true offset lies within twice the stated uncertainty. */
const coverage = (sensor: { resolution: number; noise: number }) => {
  let within = 0
  let all = 0
  for (let seed = 1; seed <= 60; seed++) {
    const box = together(seed, 9, sensor)
    const middle = median(box.map(each => each.off))
    commonTemperature(box, 0, 2 * hour).sensors.forEach(({ offset, standardUncertainty }, index) => {
      all++
      if (Math.abs(offset - (box[index]!.off - middle)) <= 2 * standardUncertainty) within++
    })
  }
  return within / all
}

describe('sensors at one common temperature', () => {
  // 540 sensors: 95.45 % of them, give or take three standard deviations of a binomial count
  it('recovers simulated offsets within twice its uncertainty for about 95 % of the sensors', () => {
    const found = coverage({ resolution: 1e-3, noise: 0.02 })
    const three = 3 * Math.sqrt((0.9545 * 0.0455) / 540)
    expect(found).toBeGreaterThan(0.9545 - three)
    expect(found).toBeLessThan(0.9545 + three)
  })

  it('still covers them when coarse steps hide what averaging cannot give back', () => {
    expect(coverage({ resolution: 1 / 16, noise: 0.005 })).toBeGreaterThan(0.9545)
  })

  // GUM (JCGM 100:2008) 4.2.3: s(q̄) = s(q)/√n, computed by simple-statistics; table G.2: t = 2.25 for 95.45 % and 11
  it('gives the Type A uncertainty of the block means, widened by Student for twelve blocks', () => {
    const draws = randomStream(5, 'type-a')
    const times = every(hour / 6, 2 * hour)
    const flat = times.map(() => 20)
    const values = times.map(() => 21 + 0.1 * draws.normal())
    const result = commonTemperature(
      [flat, flat, values].map(each => ({ times, values: each, ...(each === flat && { step: 1e-9 }) })),
      0,
      2 * hour,
    )
    const step = stepOf(values)
    const typeA = sampleStandardDeviation(values) / Math.sqrt(12)
    expect(result.sensors[2]!.offset).toBeCloseTo(mean(values) - 20, 10)
    const spread = Math.sqrt(result.sensors[2]!.standardUncertainty ** 2 - step ** 2 / 12)
    expect((2 * spread) / typeA).toBeCloseTo(2.25, 2)
  })

  // the variance of a mean of AR(1) noise, to first order σ²/n · (1 + φ)/(1 − φ): common practice, no source
  it('is not fooled by readings that err alike from one to the next', () => {
    const draws = randomStream(7, 'memory')
    const times = every(10_000, 2 * hour)
    const memory = 0.9
    let error = 0
    const values = times.map(() => {
      error = memory * error + Math.sqrt(1 - memory ** 2) * draws.normal()
      return 20 + 0.1 * error
    })
    const flat = times.map(() => 20)
    const { sensors } = commonTemperature(
      [flat, flat, values].map(each => ({ times, values: each })),
      0,
      2 * hour,
      30,
    )
    const independent = 0.1 / Math.sqrt(times.length)
    expect(sensors[2]!.standardUncertainty / independent).toBeGreaterThan(0.6 * Math.sqrt(1.9 / 0.1))
  })

  const constant = (...values: number[]) => {
    const times = every(60_000, hour)
    return values.map(value => ({ times, values: times.map((_, i) => value + (i % 2) * 0.01) }))
  }

  // GUM (JCGM 100:2008) F.2.2.1: an indication of resolution δ has the standard uncertainty δ/√12 = 0.29 δ from it
  it('gives a sensor that reads one constant value the rounding of its step, and does not call it the surest', () => {
    const times = every(60_000, hour)
    const flat = (value: number, step?: number) => ({
      times,
      values: times.map(() => value),
      ...(step !== undefined && { step }),
    })
    const { sensors } = commonTemperature([flat(20, 0.1), flat(20, 0.1), flat(20.12, 0.1), flat(20.12)], 0, hour)
    // its own step and that of the median
    expect(sensors[2]!.standardUncertainty).toBeCloseTo(0.29 * 0.1 * Math.SQRT2, 3)
    expect(sensors[2]).toMatchObject({ step: 0.1, stepAssumed: false })
    expect(sensors[3]).toMatchObject({ step: unknownStep, stepAssumed: true, significant: false })
    expect(sensors[3]!.standardUncertainty).toBeGreaterThanOrEqual(0.288 * unknownStep)
  })

  it('tells a significant offset from the rest', () => {
    const { sensors, still } = commonTemperature(constant(20, 20.001, 20.5), 0, hour)
    expect(sensors.map(each => each.significant)).toEqual([false, false, true])
    expect(sensors[2]!.offset).toBeCloseTo(0.499, 6)
    expect(still).toBe(true)
  })

  it('says when the place was not still', () => {
    const times = every(60_000, hour)
    const warming = [0, 0.1, 0.2].map(off => ({ times, values: times.map(time => 20 + off + time / hour) }))
    const result = commonTemperature(warming, 0, hour)
    expect(result.drift).toBeCloseTo(1, 6)
    expect(result.still).toBe(false)
  })

  it('says nothing of a sensor with a gap, and leaves it out of the median', () => {
    const [first, second, third, gone] = constant(20, 20.1, 20.2, 90)
    const half = { times: gone!.times.slice(0, 30), values: gone!.values.slice(0, 30) }
    const { sensors } = commonTemperature([first!, second!, third!, half], 0, hour)
    expect(sensors[3]!.offset).toBeNaN()
    expect(sensors[1]!.offset).toBeCloseTo(0, 10)
  })

  it('refuses what cannot be compared', () => {
    expect(() => commonTemperature(constant(20, 21), 0, hour)).toThrow('at least 3 are needed')
    expect(() => commonTemperature(constant(20, 21, 22), hour, 0)).toThrow('ends before it begins')
    expect(() => commonTemperature(constant(20, 21, 22), 0, hour, 2)).toThrow('6 or more')
  })
})

describe('the step of a sensor', () => {
  it('is the smallest difference between unequal readings, also when they came in °F', () => {
    expect(stepOf([20, 20.0625, 20.1875, 20])).toBeCloseTo(0.0625, 12)
    expect(stepOf([68, 68.1, 68.3, 68].map(f => (f - 32) / 1.8))).toBeCloseTo(0.1 / 1.8, 6)
    expect(stepOf([20, 20])).toBe(0)
  })
})

describe('the offset in force', () => {
  const change = (id: number, newOffset: number, takesBack: number | null = null): OffsetChange => ({
    id,
    sensor: 's',
    at: id * 1000,
    by: 'Ada',
    note: '',
    oldOffset: 0,
    newOffset,
    found: null,
    takesBack,
  })

  it('is that of the newest accepted one that was not taken back', () => {
    expect(offsetInForce([])).toBeNull()
    expect(offsetInForce([change(2, 0.2), change(1, 0.1)])?.newOffset).toBe(0.2)
    expect(offsetInForce([change(1, 0.1), change(2, 0.2), change(3, 0.1, 2)])?.newOffset).toBe(0.1)
    expect(offsetInForce([change(1, 0.1), change(2, 0, 1)])).toBeNull()
    expect(offsetInForce([change(1, 0.1), change(2, 0, 1), change(3, 0.3)])?.newOffset).toBe(0.3)
  })
})
