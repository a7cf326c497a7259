import { expect, it } from 'vitest'
import { isMet } from './bars.js'
import type { PartsCase } from './parts.js'
import { partsBars, partsScore, partsTable } from './parts-table.js'
import { examineRandomParts, shopNumber } from './shops.js'

const one = (of: Partial<PartsCase>): PartsCase => ({
  heat: 0.6,
  recorded: true,
  conclusion: 'most',
  doubts: [],
  explained: { value: 0.6, low: 0.4, high: 0.7 },
  movement: 10e-6,
  predictionError: 1e-6,
  ...of,
})

it('conclusions are counted by what was true, and bars that are missed are told', () => {
  const score = partsScore([
    {
      cases: [
        one({}),
        one({ conclusion: 'part', heat: 0.8 }),
        one({ conclusion: 'cannot be told', doubts: ['chance'], explained: { value: 0.1, low: null, high: 0.7 } }),
        one({ heat: 0, conclusion: 'not heat' }),
        one({ heat: 0, conclusion: 'part', predictionError: 3e-6 }),
      ],
    },
  ])
  expect(score).toMatchObject({ heated: 3, unheated: 2, heatSaidWronglyPercent: 50, doubts: { chance: 1 } })
  expect(score.heatSaidPercent).toBeCloseTo(66.7, 1)
  expect(score.shareCoveragePercent).toBeCloseTo(66.7, 1)
  expect(score.predictionErrorMedianPercent).toBeCloseTo(10, 9)
  expect(partsBars(score).map(isMet)).toEqual([false, false, false])
  expect(partsBars(partsScore([])).map(isMet)).toEqual([false, false, false])
  expect(partsTable(score)).toContain('1 chance')
})

it('six days of a random shop give ten features, each predicted and concluded', async () => {
  const { cases } = await examineRandomParts(shopNumber(4, 1), 6)
  expect(cases).toHaveLength(10)
  expect(cases.filter(({ heat }) => heat > 0)).toHaveLength(5)
  for (const { explained, movement, predictionError } of cases) {
    expect(explained).not.toBeNull()
    // what is predicted has to do with what was true
    expect(predictionError).toBeLessThan(movement)
  }
})
