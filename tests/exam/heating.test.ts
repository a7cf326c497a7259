import { describe, expect, it } from 'vitest'
import { isMet } from './bars.js'
import { fitSince, type Heated, type HeatingRecord, heatedFrom, type Ratios } from './heating.js'
import { heatingBars, heatingScore, heatingTable } from './heating-table.js'
import { examineMornings } from './mornings.js'
import { livelyShop, shopNumber } from './shops.js'

const minute = 60_000
const hour = 60 * minute

describe('a stated start', () => {
  it('is held against when its machine came to be fit and stayed so', () => {
    const since = (...ratios: number[]) => fitSince(ratios.map((ratio, i) => ({ after: 30 * i - 60, ratio })))
    expect(since(0.9, 0.9, 0.8)).toBe(Number.NEGATIVE_INFINITY)
    expect(since(2, 1.5, 0.5)).toBeCloseTo(-15, 9)
    // within it for a while, and then over it again as the air comes back
    expect(since(0.9, 1.2, 0.8, 0.7)).toBeCloseTo(-15, 9)
    expect(since(0.9, 0.9, 1.1)).toBeNull()
  })
  it('leaves the evening to the working hours, and the morning from the goal on', () => {
    const [midnight, goal] = [24 * hour, 31 * hour]
    const at = (on: number) => [23.5, 24, 27, 30.9, 31].map(time => heatedFrom(on, midnight, goal)(time * hour))
    expect(at(27 * hour)).toEqual([null, false, true, true, null])
    expect(at(23.5 * hour)).toEqual([true, true, true, true, null])
    expect(at(goal)).toEqual([null, false, false, false, null])
  })
})

describe('the score of heating starts', () => {
  /** jobs that come to be within the share so many min after the goal */
  const fitAt = (since: number): Ratios =>
    [-90, -60, -20, 0, 20, 40, 60].map(after => ({ after, ratio: 1 - (after - since) / 1000 }))
  const start = (since: number, unheated = 600, safe = -30, ahead = 90): HeatingRecord => ({
    ...{ state: 'start', ahead, ratios: fitAt(since), safe: fitAt(safe), unheated: fitAt(unheated) },
  })
  const score = heatingScore([
    start(0.5),
    start(-19),
    start(30),
    start(600, 600, 10),
    start(-50, 15),
    start(15, 15, -30, 0),
    start(600, 600, -30, 0),
    { ...start(-30, 5), state: 'any time' },
    { ...start(-30, -10), state: 'any time' },
    { state: 'not set back', ahead: null, ratios: null, safe: null, unheated: null },
  ])
  it('counts who was fit near the stated time, sooner or later, and where no start was needed', () => {
    expect(score).toMatchObject({ starts: 5, fitNear: 2, fitBy: 3, needless: 1, notNeeded: 2, notNeededRight: 1 })
    expect(score.since).toMatchObject({ '20 to 60 before': 1, 'within 20': 2, '20 to 60 after': 1, later: 1 })
    expect(score).toMatchObject({ safe: 6, anyTime: 2, anyTimeFit: 1 })
  })
  it('misses the bars that it misses, and says so', () => {
    expect(heatingBars(score).map(isMet)).toEqual([false])
    expect(heatingBars(heatingScore([])).map(isMet)).toEqual([false])
    expect(heatingBars(heatingScore([start(10)])).map(isMet)).toEqual([true])
    expect(heatingTable(score)).toContain('3 of these were fit at most 20 min after the goal, 1 even if')
  })
})

it('the twin is heated from the very minute that was stated, and its machines are nearer to their share for it', async () => {
  const { shop, simulated, twin, from, faults } = livelyShop(shopNumber(4, 34), 7)
  const asked: Heated[] = []
  const told = (heated: Heated) => {
    asked.push(heated)
    return twin(heated)
  }
  // until the evening of the second Tuesday, after six days
  const { heating } = await examineMornings(shop, simulated, { from, days: 6.75, faults, twin: told })
  const goal = Date.UTC(2025, 10, 12, 6)
  const starts = heating.filter(({ state, ahead }) => state === 'start' && ahead! > 0)
  expect(starts.length).toBeGreaterThan(0)
  for (const { ahead, ratios, unheated } of starts) {
    const on = goal - ahead! * minute
    const obeying = asked.find(heated => heated(on - 1) !== true && heated(on) === true)!
    expect(obeying).toBeDefined()
    const atGoal = (of: Ratios | null) => of!.find(({ after }) => after === 0)!.ratio
    expect(atGoal(ratios)).toBeLessThan(0.9 * atGoal(unheated))
    const air = [twin(obeying), twin(heatedFrom(goal, goal - 7 * hour, goal))].map(other => {
      const zones = [on - minute, goal].map(time => {
        other.advance(time, () => {}, 3600)
        return other.climate().zones['hall-south']!
      })
      return { before: zones[0]!, after: zones[1]! }
    })
    expect(air[0]!.before).toBeCloseTo(air[1]!.before, 9)
    expect(air[0]!.after).toBeGreaterThan(air[1]!.after + 1)
  }
})
