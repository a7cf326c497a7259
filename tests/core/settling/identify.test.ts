import { describe, expect, it } from 'vitest'
import { followedAlone } from '../../../core/settling/identify-alone.js'
import { covered63, follow } from '../../../core/settling/identify-model.js'
import { averaged, evenly } from '../../../core/settling/identify-resample.js'
import { lowest } from '../../../core/settling/identify-search.js'
import { comparingSurroundings, temperatureAfter } from '../../../core/settling/index.js'
import { finished, identifyTimeConstant } from './identify-time-constant.js'
import { invented } from './shop-air.js'

// The truth of these is known by construction: the invented node follows the invented air exactly.
describe('a time constant', () => {
  it.each([
    ['45 min', 2700],
    ['4 h', 14_400],
  ])('of %s is found within three standard errors', (_, tau) => {
    const { times, node, air } = invented(7, { tau })
    const found = identifyTimeConstant(times, node, air)
    expect(found.refusal).toBeNull()
    expect(Math.abs(Math.log(found.timeConstant! / tau))).toBeLessThan(3 * found.standardError!)
    expect(found.standardError).toBeLessThan(0.02)
    expect(found.uncertainty).toBeGreaterThanOrEqual(0.06)
    expect(found.steadyExcess).toBeCloseTo(0, 1)
  })

  it('is found beside the own heat of a shift, and with gaps', () => {
    const { times, node, air } = invented(3, { tau: 3600, ownHeat: 2 })
    const gappy = node.map((value, k) => (k % 300 < 40 ? Number.NaN : value))
    const found = identifyTimeConstant(times, gappy, air)
    expect(found.refusal).toBeNull()
    expect(found.timeConstant! / 3600).toBeCloseTo(1, 1)
    expect(found.hours).toBeLessThan(14 * 24 - 20)
  })

  it('is found from readings of every half hour or hour, between which straight lines run', () => {
    for (const every of [6, 12]) {
      const { times, node, air } = invented(6, { tau: 10_800, noise: 0.05, airNoise: 0.05 })
      const told = (values: readonly number[], first: number) =>
        values.map((_, i) => {
          const k = Math.max(0, Math.floor((i - first) / every)) * every + first
          return values[k]! + (Math.max(0, i - k) / every) * ((values[k + every] ?? values[k]!) - values[k]!)
        })
      const found = identifyTimeConstant(times, told(node, 2), told(air, 0), { noise: 0.05, readEvery: 300 * every })
      expect(found.refusal).toBeNull()
      expect(Math.abs(Math.log(found.timeConstant! / 10_800))).toBeLessThan(2 * found.uncertainty!)
    }
  })

  it('is not biased by more than its uncertainty by noise in both', () => {
    const { times, node, air } = invented(5, { tau: 3600, noise: 0.05, airNoise: 0.05 })
    const found = identifyTimeConstant(times, node, air, { noise: 0.05 })
    expect(Math.abs(Math.log(found.timeConstant! / 3600))).toBeLessThan(found.uncertainty!)
  })
})

describe('no time constant is believed', () => {
  it('of a light cover over heavy iron', () => {
    for (const seed of [1, 2]) {
      const { times, node, air } = invented(seed, { tau: 480, heavy: { tau: 21_600, share: 0.4 } })
      const found = identifyTimeConstant(times, node, air)
      expect(found.refusal).toMatchObject({ kind: 'two speeds' })
      expect(found.tooLittle).toBe(false)
    }
  })

  it('from air that hardly moves', () => {
    const { times, node, air } = invented(4, { tau: 3600, swing: 0.02 })
    const found = identifyTimeConstant(times, node, air)
    expect(found.refusal).toMatchObject({ kind: 'moved little', needed: 0.1 })
    expect(found.tooLittle).toBe(true)
  })

  it('from a day, or from nothing', () => {
    const { times, node, air } = invented(4, { tau: 3600, days: 1 })
    expect(identifyTimeConstant(times, node, air)).toMatchObject({
      timeConstant: null,
      refusal: { kind: 'few readings', needed: 36 },
    })
    expect(identifyTimeConstant([], [], []).timeConstant).toBeNull()
  })

  it('of a node that follows something else', () => {
    const { times, node } = invented(1, { tau: 3600 })
    const { air } = invented(2, { tau: 3600, swing: 2 })
    const found = identifyTimeConstant(times, node, air)
    expect(found.refusal).not.toBeNull()
  })
})

it('what is followed is told from what is not', () => {
  const { times, node, air } = invented(1, { tau: 3600 })
  const other = invented(2, { tau: 3600 }).air
  const [right, wrong] = finished(comparingSurroundings(times, node, [air, other]))
  expect(right! - wrong!).toBeGreaterThan(100)
})

it('series of different length, and times that fall, are refused', () => {
  expect(() => identifyTimeConstant([0, 1], [20], [20, 20])).toThrow(/must have one length/)
  expect(() => identifyTimeConstant([2, 1], [20, 20], [20, 20])).toThrow(/must ascend/)
})

it('readings come to even means; short gaps of the air are bridged, those of the node stay', () => {
  const times = [0, 60_000, 300_000, 900_000]
  const even = evenly(times, [20, 22, Number.NaN, 24], [20, 20, 21, 23], 300)
  expect([...even.node]).toEqual([21, Number.NaN, Number.NaN, 24])
  expect([...even.air]).toEqual([20, 21, 22, 23])
  expect([...averaged(even, 2).air]).toEqual([Number.NaN, 20.5, 21.5, 22.5])
})

it('the filter explains a course of its own kind better with the true time constant than with others', () => {
  const { times, node, air } = invented(9, { tau: 3600, days: 4 })
  const data = averaged(evenly(times, node, air, 300), 3)
  const cost = (main: number) =>
    follow(data, { main, fast: 30, share: 0 }, { wander: 0.01, processNoise: 0.01, noise: 0.01 })
  expect(cost(3600)).toBeLessThan(cost(3000))
  expect(cost(3600)).toBeLessThan(cost(4300))
})

it('one speed covers 63.2 % in its time constant; a fast share comes sooner', () => {
  expect(covered63({ main: 3600, fast: 30, share: 0 })).toBeCloseTo(3600, -1)
  // 0.9·e^(−t/τ) = 1/e: t = τ·(1 + ln 0.9)
  expect(covered63({ main: 3600, fast: 30, share: 0.1 })).toBeCloseTo(3600 * (1 + Math.log(0.9)), -1)
})

it('the simplex finds the minimum of Rosenbrock’s valley', () => {
  // Rosenbrock (1960): minimum 0 at (1, 1)
  const valley = ([x, y]: readonly number[]) => (1 - x!) ** 2 + 100 * (y! - x! ** 2) ** 2
  const found = finished(lowest(valley, [-1.2, 1], [0.1, 0.1], 400))
  expect(found.at[0]).toBeCloseTo(1, 0)
  expect(found.cost).toBeLessThan(0.01)
})

it('a node that follows alone is a first-order rise', () => {
  const times = Array.from({ length: 100 }, (_, i) => i * 60_000)
  const air = times.map(() => 25)
  const course = followedAlone(
    times,
    air,
    times.map(() => 20),
    3600,
    0,
    0,
  )
  expect(course[60]).toBeCloseTo(temperatureAfter(20, 25, 3600, 3600), 9)
})
