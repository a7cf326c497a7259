import { describe, expect, it } from 'vitest'
import type { Habit } from '../../../core/trust/habit.js'
import {
  addRun,
  calibrationOverdue,
  clockWrong,
  compareWithAir,
  followingEvidence,
  followsAir,
  frozen,
  keptOf,
  meansSpacing,
  noFollowing,
  noHabit,
  steppedToAir,
} from '../../../core/trust/index.js'

const hour = 3600
const known = (largest: number): Habit => ({ largest, days: 14 })

describe('a sensor that repeats its value', () => {
  const run = { seconds: hour, repeats: 60, resolution: 0.1, before: { readings: 300, repeats: 240, longest: 12 } }
  it('is frozen when its neighbours moved meanwhile', () => {
    expect(frozen(run, 1.6, known(0.3), 0)).toEqual({ kind: 'frozen', for: 3600, moved: 1.6 })
  })
  it('is honest in a quiet shop, however long it repeats', () => {
    expect(frozen({ ...run, seconds: 12 * hour, repeats: 720 }, 0.1, known(0), 0)).toBeNull()
  })
  it('is honest while its coarse steps explain it, or its slow body, or what neighbours moved within other runs', () => {
    expect(frozen({ ...run, resolution: 0.5 }, 1.6, known(0), 0)).toBeNull()
    expect(frozen({ ...run, resolution: 0 }, 1.6, known(0), 0)).toBeNull()
    expect(frozen(run, 1.6, known(0), 5 * hour)).toBeNull()
    expect(frozen(run, 1.6, known(1.2), 0)).toBeNull()
  })
  it('is frozen sooner when it hardly ever repeated itself, on a slow body and on its first day as well', () => {
    const lively = { ...run, before: { readings: 300, repeats: 60, longest: 4 } }
    const told = (of: typeof run, moved = 0.3) => frozen(of, moved, noHabit, 5 * hour)
    expect(told(lively)).toMatchObject({ kind: 'frozen', moved: 0.3 })
    expect(told(run)).toBeNull()
    // a quiet shop; a coarse step; too short a run by chance, or beside the longest; too few readings to know
    expect(told(lively, 0.1)).toBeNull()
    expect(told({ ...lively, resolution: 0.12 }, 0.6)).toBeNull()
    // a fifth of its readings repeat: 22 in a row are no chance, 20 may be
    const short = { ...lively, before: { ...lively.before, longest: 3 } }
    expect(told({ ...short, repeats: 22 })).not.toBeNull()
    expect(told({ ...short, repeats: 20 })).toBeNull()
    expect(told({ ...lively, before: { ...lively.before, longest: 13 } })).toBeNull()
    expect(told({ ...lively, before: { readings: 50, repeats: 10, longest: 4 } })).toBeNull()
  })
  it('counts a run that ended by itself', () => {
    const before = { readings: 10, repeats: 2, longest: 1 }
    addRun(before, 3)
    expect(before).toEqual({ readings: 14, repeats: 5, longest: 3 })
  })
  it('has to be surer in its first days', () => {
    expect(frozen(run, 0.7, known(0.3), 0)).not.toBeNull()
    expect(frozen(run, 0.7, noHabit, 0)).toBeNull()
    expect(frozen(run, 0.8, noHabit, 0)).not.toBeNull()
  })
})

/**
 * Air that swings by `swing` K with a period of 40 min, and a first-order body in it, seen in five-minute changes: two
 * days on which it sits on its body, then four hours with another time constant.
 *
 * @returns the sum of evidence in the end
 */
const evidenceAfter = (timeConstant: number, stated: number, swing: number, trend = 0) => {
  let [now, usual] = [noFollowing, noFollowing]
  const air = (t: number) => swing * Math.sin((2 * Math.PI * t) / 2400) + (trend * t) / hour
  let body = 0
  let evidence = 0
  for (let t = 0; t < 52 * hour; t += meansSpacing) {
    const before = body
    const tau = t < 48 * hour ? 2700 : timeConstant
    for (let s = 0; s < meansSpacing; s++) body += (air(t + s) - body) / tau
    const changes = [body - before, air(t + meansSpacing) - air(t)] as const
    const last = now
    now = compareWithAir(now, ...changes, keptOf.now)
    evidence = followingEvidence(evidence, last, now, usual, meansSpacing, stated, 0)
    if (t < 48 * hour) usual = compareWithAir(usual, ...changes, keptOf.usual)
  }
  return evidence
}

describe('a sensor that fell off', () => {
  const follows = (...of: Parameters<typeof evidenceAfter>) => followsAir(evidenceAfter(...of), known(3))
  it('follows the air at once; one that touches a body does not', () => {
    expect(follows(80, 2700, 1)).toEqual({ kind: 'follows the air' })
    expect(follows(2700, 2700, 1)).toBeNull()
    // a time constant stated too long, or that has become shorter by a third
    expect(follows(2700, 8000, 1)).toBeNull()
    expect(follows(1800, 2700, 1)).toBeNull()
  })
  it('is not seen in a long trend, which a body follows as well', () => {
    expect(follows(1800, 2700, 0.3, 3)).toBeNull()
    expect(follows(80, 2700, 1, 3)).not.toBeNull()
  })
  it('cannot be told where the air is quiet, the body as quick as the air, or it has gone with the air before', () => {
    expect(follows(80, 2700, 0.02)).toBeNull()
    expect(follows(80, 300, 1)).toBeNull()
    expect(followsAir(evidenceAfter(80, 2700, 1), known(20))).toBeNull()
  })
  const quiet = { others: [], quickest: known(0.2) }
  it('steps to the air faster than the body can', () => {
    expect(steppedToAir(23, 20.1, 20, 20, 600, 2700, quiet)).toMatchObject({
      kind: 'stepped to the air',
      moved: expect.closeTo(2.9),
    })
  })
  it('has not when the others on the machine cool with it, or it has moved as quickly before: the work is over', () => {
    const step = (others: number[], quickest: Habit) => steppedToAir(23, 20.1, 20, 20, 600, 2700, { others, quickest })
    expect(step([-0.1, 0.3], known(0.5))).not.toBeNull()
    expect(step([-0.1, -1.2], known(0.5))).toBeNull()
    expect(step([], known(2.1))).toBeNull()
    // before it is known how quickly its surface cools
    expect(step([], noHabit)).toBeNull()
    expect(steppedToAir(25, 20.1, 20, 20, 600, 2700, { others: [], quickest: noHabit })).not.toBeNull()
  })
  it('has not when the body cools as it must, the step is small, the air came to it, or it went past', () => {
    const cooled = 20 + 3 * Math.exp(-600 / 2700)
    const stepFrom = (...of: [number, number, number, number]) => steppedToAir(...of, 600, 2700, quiet)
    expect(stepFrom(23, cooled, 20, 20)).toBeNull()
    // what is not known has not stepped anywhere
    expect(stepFrom(23, Number.NaN, 20, 20)).toBeNull()
    expect(stepFrom(23, 20.1, Number.NaN, 20)).toBeNull()
    expect(stepFrom(20.8, 20, 20, 20)).toBeNull()
    expect(stepFrom(23, 22.9, 20, 22.9)).toBeNull()
    expect(stepFrom(23, 12, 20, 20)).toBeNull()
    expect(stepFrom(Number.NaN, 20, 20, 20)).toBeNull()
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
