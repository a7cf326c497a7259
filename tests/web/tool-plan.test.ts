import { describe, expect, it } from 'vitest'
import { formatDwell, type UnitSystem } from '../../core/format.js'
import { fitSpindle, planToolList, type ToolListEntry } from '../../core/spindle/index.js'
import { listOf, sentList } from '../../server/http/tool-list-in.js'
import { ordinarySpindle } from '../../simulators/spindle.js'
import { draftOf, restOf, toolsOf } from '../../web/tool-plan/list-draft.js'
import { roundTicks } from '../../web/tool-plan/round-ticks.js'
import { headline, orderWords, probingWords, stepWords } from '../../web/tool-plan/words.js'
import { testOf } from '../core/spindle/spindle-tests.js'
import { randomJob } from '../core/spindle/tool-jobs.js'

const list: ToolListEntry = {
  name: 'Bearing housing',
  job: {
    tools: [
      { name: 'T1 face mill', length: 0.095, speed: 3500 / 60, cutting: 480, tolerance: 33e-6, share: 0.3 },
      { name: 'T7 ball end mill', length: 0.1201, speed: 11_500 / 60, cutting: 725, tolerance: 10.5e-6, share: 0.25 },
      { name: 'T2 drill', length: 0.14, speed: 5000 / 60, cutting: 360, tolerance: 50e-6, share: 0.3 },
    ],
    before: [
      [0, 1],
      [0, 2],
      [1, 2],
    ],
    change: 24,
  },
  start: { kind: 'ran', speed: 100, duration: 1800, rest: 90 },
  warmUp: { highest: 200, step: 50, hold: 300 },
  tilt: 20e-6,
  workHeight: 0.15,
}
const signed = { by: 'Ada', note: '', machine: 'mill', enteredAt: 0 }

/** All numbers of something, in their order. */
const numbers = (value: unknown): number[] =>
  typeof value === 'number' ? [value] : value && typeof value === 'object' ? Object.values(value).flatMap(numbers) : []

describe('the form of a tool list', () => {
  it.each<UnitSystem>(['metric', 'inch', 'tenths'])('gives back the list that was put into it: %s', async system => {
    for (const each of [
      list,
      { ...list, start: { kind: 'grown' as const, growth: 12e-6 } },
      { ...list, start: { kind: 'cold' as const }, warmUp: null, tilt: null, workHeight: null },
    ]) {
      const draft = draftOf({ ...each, ...signed }, system)
      const sent = sentList.parse({ by: 'Ada', ...restOf(draft, system), tools: toolsOf(draft.tools, system) })
      const back = await listOf(sent, { name: 'Mill' })
      expect(JSON.stringify(back).replace(/[\d.e+-]+/g, '#')).toBe(JSON.stringify(each).replace(/[\d.e+-]+/g, '#'))
      const [is, was] = [numbers(back), numbers(each)]
      // seven digits are shown
      for (const [i, value] of is.entries()) expect(Math.abs(value - was[i]!)).toBeLessThanOrEqual(1e-6 * was[i]!)
    }
  })

  it('keeps a unit that was typed, and takes a decimal comma', () => {
    const [tool] = toolsOf(
      [{ ...draftOf({ ...list, ...signed }, 'inch').tools[0]!, length: '95,5 mm', cutting: '7,5' }],
      'inch',
    )
    expect(tool).toMatchObject({ length: '95,5 mm', cutting: '7.5 min', speed: '3500 1/min' })
  })
})

describe('the words of a plan', () => {
  const test = testOf(ordinarySpindle, 3)
  const model = fitSpindle(test)
  const planned = (job: ToolListEntry['job']) =>
    planToolList(model, { ...list, job, start: { kind: 'cold' }, warmUp: null }, test, [])

  it('say the dwell of both orders, and how sure it is that none needs less', () => {
    const answer = planned(randomJob(5, 6, 2))
    const { text, more } = headline(answer)
    expect(text).toContain(`${formatDwell(answer.given.dwell)} of dwell in the given order`)
    expect(more).toBe('No order that keeps what must come first needs less.')
    expect(headline({ ...answer, exact: false, atLeast: 600 }).more).toMatch(/none needs less than 9\.9 min/)
    expect(headline({ ...answer, given: { ...answer.given, dwell: 0 } }).text).toBe(
      'No dwell is needed in the given order.',
    )
    expect(headline({ ...answer, best: answer.given }).text).toBe(
      `${formatDwell(answer.given.dwell)} of dwell in the given order.`,
    )
  })

  it('name an order by first words, or in full where these are alike', () => {
    const { given } = planned(list.job)
    expect(orderWords(given, list.job.tools)).toBe('T1 → T7 → T2')
    const twice = list.job.tools.map((tool, i) => ({ ...tool, name: `T1 pass ${i + 1}` }))
    expect(orderWords(given, twice)).toBe('T1 pass 1 → T1 pass 2 → T1 pass 3')
  })

  it('say when to probe, in minutes or seconds, and when that does not do', () => {
    const probing = (at: number[], enough = true) => probingWords({ offset: 0, remaining: 0, probing: at, enough })
    expect(probing([0])).toBe('at its start')
    expect(probing([0, 180, 360])).toBe('at its start, then after 3, 6 min')
    expect(probing([0, 30, 60, 120])).toBe('at its start, then after 30 s, 1, 2 min')
    expect(probing([0, 20, 40])).toBe('at its start, then after 20 s, 40 s')
    expect(probing([0, 1], false)).toMatch(/let it dwell/)
  })

  it('tell each step with the sign of its offset', () => {
    const { given } = planned(list.job)
    expect(given.cuts[0]!.dwell).toBe(0)
    expect(stepWords(given.cuts[1]!, list.job.tools[1]!, 'metric')).toMatch(
      /^T7 ball end mill: turn at 11.500 1\/min for \d+\.\d min, out of the cut, guard closed; then add \+\d+\.\d µm/,
    )
  })
})

describe('a dwell', () => {
  it('is rounded up to the tenth of a minute', () => {
    expect([0, 6, 6.01, 59.9, 1680].map(formatDwell)).toEqual(['0.0 min', '0.1 min', '0.2 min', '1.0 min', '28.0 min'])
  })
})

describe('round ticks', () => {
  it('are told apart by their decimals, and lie within the scale', () => {
    expect(roundTicks(0, 41, 4).map(({ text }) => text)).toEqual(['0', '20', '40'])
    expect(roundTicks(-0.0004, 0.0012, 4).map(({ text }) => text)).toEqual(['0.0000', '0.0005', '0.0010'])
    expect(roundTicks(0, 0, 4)).toEqual([])
  })
})
