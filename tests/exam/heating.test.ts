import { describe, expect, it } from 'vitest'
import { isMet } from './bars.js'
import { type Heated, type HeatingRecord, heatedFrom, latestStart } from './heating.js'
import { heatingBars, heatingScore, heatingTable } from './heating-table.js'
import { examineMornings } from './mornings.js'
import { livelyShop, shopNumber } from './shops.js'

const minute = 60_000
const hour = 60 * minute

describe('a stated start', () => {
  it('is held against the latest that would have done, in steps of twenty minutes', () => {
    const latestBy = (last: number) => latestStart(later => later <= last)
    expect([-21, -20, -1, 0, 19, 20, 45, 60, 600].map(latestBy)).toEqual([null, -20, -20, 0, 0, 20, 40, 60, 60])
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
  const start = (latest: number | null, ratios: number[], unheated = 2): HeatingRecord => ({
    ...{ state: 'start', ahead: 90, latest, unheated },
    ratios: ratios.map((ratio, i) => ({ after: [0, 20, 240][i]!, ratio })),
  })
  const score = heatingScore([
    start(0, [0.9, 0.9, 0.9]),
    start(60, [0.5, 0.6, 1.1], 0.8),
    start(-20, [1.1, 0.9, 0.9]),
    start(null, [1.5, 1.2, 0.9]),
    // within it for a moment only
    { ...start(0, [0.9, 1.2, 1.1]), ratios: [0.9, 1.2, 1.3, 1.2].map((ratio, i) => ({ after: 5 * i, ratio })) },
    { ...start(null, [1.1, 0.9, 0.9]), state: 'any time' },
    { state: 'not set back', ahead: null, ratios: null, latest: null, unheated: null },
  ])
  it('counts what was fit at the goal, soon after it, and whose start was right', () => {
    expect(score).toMatchObject({ starts: 5, fitAtGoal: 3, fitWithinNear: 3, stayed: 1, startRight: 3, needed: 4 })
    expect(score).toMatchObject({ neededRight: 3, anyTime: 1, anyTimeFit: 0 })
  })
  it('misses the bars that it misses, and says so', () => {
    expect(heatingBars(score).map(isMet)).toEqual([false, false])
    expect(heatingBars(heatingScore([])).map(isMet)).toEqual([false, false])
    expect(heatingBars(heatingScore([start(-20, [1.1, 0.9, 0.9])])).map(isMet)).toEqual([true, true])
    expect(heatingTable(score)).toContain('on as stated: 3 of 5 within the share at the goal, 3 for ten minutes from')
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
  const starts = heating.filter(({ state }) => state === 'start')
  expect(starts.length).toBeGreaterThan(0)
  for (const { ahead, ratios, unheated } of starts) {
    const on = goal - ahead! * minute
    const obeying = asked.find(heated => heated(on - 1) !== true && heated(on) === true)!
    expect(obeying).toBeDefined()
    expect(ratios![0]!.ratio).toBeLessThan(0.9 * unheated!)
    const air = [twin(obeying), twin(heatedFrom(goal, goal - 7 * hour, goal))].map(other => {
      const zones = [on - minute, goal].map(time => {
        other.advance(time, () => {})
        return other.climate().zones['hall-south']!
      })
      return { before: zones[0]!, after: zones[1]! }
    })
    expect(air[0]!.before).toBeCloseTo(air[1]!.before, 9)
    expect(air[0]!.after).toBeGreaterThan(air[1]!.after + 1)
  }
}, 600_000)
