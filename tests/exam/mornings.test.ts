import { describe, expect, it } from 'vitest'
import { isMet } from './bars.js'
import type { MorningAnswer } from './mornings.js'
import { morningBars, mornings, morningsTable } from './mornings-table.js'
import { examineRandomMornings, examineRandomSensors, shopNumber } from './shops.js'

const answer = (of: Partial<MorningAnswer>): MorningAnswer => ({
  of: 'job start',
  answer: 'go',
  ratio: 0.5,
  probed: null,
  likely: null,
  earliest: null,
  latest: null,
  true: null,
  ...of,
})
const wait = (likely: number, truly: number | null) =>
  answer({ answer: 'wait', likely, earliest: likely - 10, latest: likely + 20, true: truly })

describe('answers of the morning', () => {
  const found = mornings([
    {
      mornings: 3,
      answers: [
        answer({}),
        answer({ ratio: 1.01 }),
        wait(60, 60),
        wait(60, 76),
        wait(60, 100),
        wait(0, 0),
        answer({ answer: 'move', ratio: 0.9 }),
        answer({ answer: 'not today', ratio: null, probed: 0.9 }),
        answer({ answer: 'not today', ratio: null, probed: 1.1 }),
        answer({ of: 'from outdoors', answer: 'wait', likely: 30, earliest: 0, latest: 40, true: 20, ratio: 1.2 }),
        answer({ of: 'datum', answer: 'go once zeroed', ratio: 1.2 }),
        answer({ of: 'datum', answer: 'go once zeroed' }),
      ],
      heating: [],
    },
    { mornings: 1, answers: [wait(30, null)], heating: [] },
  ])
  it('are held against the truth of each job', () => {
    expect(found).toMatchObject({ mornings: 4, go: 2, goWrong: 1, goWrongPerThousand: 500, waits: 5, moves: 1 })
    // off by 0, 16, 40, 0 and a day, for what had no end within the shift
    expect(found.waitErrorMedianMinutes).toBeCloseTo(16, 9)
    expect(found.waitCoveragePercent).toBe(60)
    expect(found.waitNotWithinShift).toBe(1)
    expect(found.waitNeedless).toBe(1)
    expect(found.waitErrorMedianWhenOverMinutes).toBeCloseTo(28, 9)
    expect(found.moveRightPercent).toBe(100)
    expect(found).toMatchObject({ probed: 2, probedWrong: 1 })
    expect(found.others['from outdoors']).toMatchObject({ waits: 1, waitStarts: 1, waitStartsWrong: 1 })
    expect(found.others.datum).toMatchObject({ go: 0, onceZeroedWrong: 1, waits: 0 })
  })
  it('miss the bars that they miss, and say so', () => {
    expect(morningBars(found).map(isMet)).toEqual([false, false, false, true, false])
    expect(morningBars(mornings([])).map(isMet)).toEqual([false, false, false, false, false])
    expect(morningsTable(found)).toContain('1 of 2 had a true error over the share')
  })
})

it('four days of a random shop have jobs of every kind for each machine on each working morning after the second day', async () => {
  const record = await examineRandomMornings(shopNumber(4, 2), 4)
  expect(record.mornings).toBeGreaterThan(0)
  expect(record.answers.length % record.mornings).toBe(0)
  const kinds = new Set(record.answers.map(({ of }) => of))
  expect([...kinds].sort()).toEqual(['datum', 'from outdoors', 'job start'])
  for (const { answer, ratio, likely, earliest, latest } of record.answers) {
    if (answer === 'go' || answer === 'move') expect(ratio).toBeGreaterThan(0)
    if (answer !== 'wait') continue
    expect(earliest).toBeLessThanOrEqual(likely!)
    expect(likely).toBeLessThanOrEqual(latest!)
  }
})

it('sensors that are silent or start up are lost or suspect within twenty of their intervals, and few healthy ones are doubted', async () => {
  const { faults, falseSuspects } = await examineRandomSensors(shopNumber(4, 2), 5)
  expect(faults.length).toBeGreaterThan(3)
  const plain = faults.filter(({ kind }) => kind === 'unplugged' || kind === 'power-on')
  expect(plain.length).toBeGreaterThan(0)
  for (const { foundAfter } of plain) expect(foundAfter).toBeLessThan(20 * 2)
  expect(falseSuspects.length).toBeLessThanOrEqual(3)
})
