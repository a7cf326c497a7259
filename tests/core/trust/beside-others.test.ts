import { describe, expect, it } from 'vitest'
import {
  airMoved,
  atOdds,
  calibrationOverdue,
  clockWrong,
  compareWithAir,
  followsAir,
  frozen,
  meansSpacing,
  noFollowing,
  steppedToAir,
} from '../../../core/trust/index.js'

const hour = 3600

describe('a sensor that repeats its value', () => {
  const run = { seconds: hour, repeats: 60, resolution: 0.1, longestBefore: 12 }
  it('is frozen when its neighbours moved meanwhile', () => {
    expect(frozen(run, [0.7, -0.6, 0.9])).toEqual({ kind: 'frozen', for: 3600, moved: 0.7 })
  })
  it('is honest in a quiet shop, however long it repeats', () => {
    expect(frozen({ ...run, seconds: 12 * hour, repeats: 720 }, [0.1, 0.2, -0.1])).toBeNull()
  })
  it('is honest while its coarse steps explain it, or its habit, or only one neighbour moved', () => {
    expect(frozen({ ...run, resolution: 0.5 }, [0.7, 0.7])).toBeNull()
    expect(frozen({ ...run, longestBefore: 55 }, [0.7, 0.7])).toBeNull()
    expect(frozen(run, [2])).toBeNull()
    expect(frozen(run, [0, 0.05, 2])).toBeNull()
  })
})

/** Air that swings by `swing` K with a period of 40 min, and a first-order body in it, as five-minute changes. */
const inSwingingAir = (timeConstant: number, swing: number, trend = 0) => {
  let sums = noFollowing
  const air = (t: number) => swing * Math.sin((2 * Math.PI * t) / 2400) + (trend * t) / hour
  let body = 0
  for (let t = 0; t < 4 * hour; t += meansSpacing) {
    const before = body
    for (let s = 0; s < meansSpacing; s++) body += (air(t + s) - body) / timeConstant
    sums = compareWithAir(sums, body - before, air(t + meansSpacing) - air(t))
  }
  return sums
}

describe('a sensor that fell off', () => {
  it('follows the air at once; one that touches a body does not', () => {
    expect(followsAir(inSwingingAir(80, 1), 2700)).not.toBeNull()
    expect(followsAir(inSwingingAir(2700, 1), 2700)).toBeNull()
    // a time constant stated a third too long
    expect(followsAir(inSwingingAir(1800, 1), 2700)).toBeNull()
  })
  it('is not seen in a long trend, which a body follows as well', () => {
    expect(followsAir(inSwingingAir(1800, 0, 3), 2700)).toBeNull()
    expect(followsAir(inSwingingAir(2700, 0.3, 3), 2700)).toBeNull()
    expect(followsAir(inSwingingAir(80, 1, 3), 2700)).not.toBeNull()
  })
  it('cannot be told where the air is quiet, or the body is as quick as the air', () => {
    const quiet = inSwingingAir(80, 0.05)
    expect(airMoved(quiet)).toBe(false)
    expect(followsAir(quiet, 2700)).toBeNull()
    expect(followsAir(inSwingingAir(80, 1), 300)).toBeNull()
  })
  it('steps to the air faster than the body can', () => {
    expect(steppedToAir(23, 20.1, 20, 20, 600, 2700)).toMatchObject({
      kind: 'stepped to the air',
      moved: expect.closeTo(2.9),
    })
  })
  it('has not when the others on the machine cool with it, or it warmed as quickly before: the work is over', () => {
    const step = (others: number[], quickest: number) => steppedToAir(23, 20.1, 20, 20, 600, 2700, { others, quickest })
    expect(step([-0.1, 0.3], 0.5)).not.toBeNull()
    expect(step([-0.1, -1.2], 0.5)).toBeNull()
    expect(step([], 2.1)).toBeNull()
  })
  it('has not when the body cools as it must, the step is small, the air came to it, or it went past', () => {
    const cooled = 20 + 3 * Math.exp(-600 / 2700)
    expect(steppedToAir(23, cooled, 20, 20, 600, 2700)).toBeNull()
    // what is not known has not stepped anywhere
    expect(steppedToAir(23, Number.NaN, 20, 20, 600, 2700)).toBeNull()
    expect(steppedToAir(23, 20.1, Number.NaN, 20, 600, 2700)).toBeNull()
    expect(steppedToAir(20.8, 20, 20, 20, 600, 2700)).toBeNull()
    expect(steppedToAir(23, 22.9, 20, 22.9, 600, 2700)).toBeNull()
    expect(steppedToAir(23, 12, 20, 20, 600, 2700)).toBeNull()
    expect(steppedToAir(Number.NaN, 20, 20, 20, 600, 2700)).toBeNull()
  })
})

describe('a sensor at odds with its siblings', () => {
  it('wanders steadily while all is still', () => {
    expect(atOdds(0.5, 0.5, [0.1, 0.05, 0.2])).toMatchObject({ kind: 'at odds', wandered: 1 })
    expect(atOdds(-0.5, -0.5, [0.1, 0.05])).not.toBeNull()
  })
  it('is none when something moves, it only wobbles, or nothing is beside it', () => {
    expect(atOdds(0.5, 0.5, [0.1, 0.6])).toBeNull()
    expect(atOdds(0.5, 0.5, [0.1, Number.NaN])).toBeNull()
    // a head with its own heat, time constant 100 min
    expect(atOdds(0.6, 0.6 * Math.exp(-0.6), [0.1, 0.1])).toBeNull()
    expect(atOdds(0.9, -0.1, [0.1, 0.1])).toBeNull()
    expect(atOdds(0.5, 0.5, [0.1])).toBeNull()
  })
})

describe('a clock', () => {
  it('is wrong when all readings come before their time, or long after it', () => {
    expect(clockWrong(-30, 60)).toEqual({ kind: 'clock', behind: -30 })
    expect(clockWrong(hour, 60)).toEqual({ kind: 'clock', behind: 3600 })
  })
  it('is right within the ways of a network', () => {
    for (const delay of [-5, 0, 3, 100]) expect(clockWrong(delay, 10)).toBeNull()
    expect(clockWrong(500, 300)).toBeNull()
  })
})

describe('a calibration', () => {
  // the rule is this project's own: judgement, no source
  it('counts twice once its day is over in the shop, and once more for each further year', () => {
    const chicago = (now: string) => calibrationOverdue('2026-06-01', Date.parse(now), 'America/Chicago')
    expect(chicago('2026-06-01T12:00:00Z')).toBeNull()
    expect(chicago('2026-06-02T04:59:00Z')).toBeNull()
    expect(chicago('2026-06-02T05:00:00Z')).toEqual({ days: 1, factor: 2 + 1 / 365 })
    expect(chicago('2027-06-01T12:00:00Z')).toEqual({ days: 365, factor: 3 })
    expect(chicago('2031-05-31T12:00:00Z')!.factor).toBeCloseTo(7, 12)
  })
})
