import { describe, expect, it } from 'vitest'
import { bestOrder } from '../../../core/spindle/best-order.js'
import { fitSpindle, planToolList, spindleOf, type ToolListEntry, toolListEntry } from '../../../core/spindle/index.js'
import { growthDuring } from '../../../core/spindle/law.js'
import { ordinarySpindle } from '../../../simulators/spindle.js'
import { testOf } from './spindle-tests.js'
import { randomJob } from './tool-jobs.js'

const test = testOf(ordinarySpindle, 3)
const model = fitSpindle(test)
const entry: ToolListEntry = {
  name: 'Bearing housing',
  job: randomJob(5, 6, 2),
  start: { kind: 'cold' },
  warmUp: null,
  tilt: null,
  workHeight: null,
}

describe('a tool list planned on a tested spindle', () => {
  it('holds growth over the job from where the spindle stands, with bands', () => {
    const starts = [
      { kind: 'cold' },
      { kind: 'ran', speed: 180, duration: 3000, rest: 300 },
      { kind: 'grown', growth: 20e-6 },
    ] as const
    for (const start of starts) {
      const { atStart, given, best } = planToolList(model, { ...entry, start }, test, [])
      expect(given.course[0]!.growth).toBeCloseTo(atStart, 12)
      if (start.kind !== 'ran') expect(atStart).toBeCloseTo(start.kind === 'cold' ? 0 : 20e-6, 12)
      if (start.kind === 'ran')
        expect(atStart).toBeCloseTo(
          growthDuring(
            spindleOf(model.law),
            [
              { speed: 180, duration: 3000 },
              { speed: 0, duration: 300 },
            ],
            [3300],
          )[0]!,
          12,
        )
      for (const plan of [given, best]) {
        expect(plan.course.at(-1)!.at).toBeCloseTo(plan.duration, 6)
        expect(plan.course.at(-1)!.growth).toBeCloseTo(plan.cuts.at(-1)!.ending, 9)
        for (const { halfBand } of plan.cuts) expect(halfBand).toBeGreaterThan(0)
      }
      expect(toolListEntry.safeParse({ ...entry, start }).success).toBe(true)
    }
  })

  it('waits less on a warm spindle for a fast tool, and for a slow one longer than on a cold one', () => {
    const job = (speed: number) => ({
      ...entry.job,
      tools: [{ ...entry.job.tools[0]!, speed, tolerance: 10e-6 }],
      before: [],
    })
    const warm = { kind: 'ran', speed: 190, duration: 7200, rest: 0 } as const
    const dwell = (speed: number, start: ToolListEntry['start']) =>
      planToolList(model, { ...entry, job: job(speed), start }, test, []).given.dwell
    expect(dwell(190, warm)).toBeLessThan(dwell(190, { kind: 'cold' }))
    expect(dwell(40, warm)).toBeGreaterThan(dwell(40, { kind: 'cold' }))
  })

  it('keeps the warmed-up tool first, in the spindle, and spares the others what the warm-up brought', () => {
    const { job } = entry
    const tools = [...job.tools].sort((a, b) => b.speed - a.speed)
    const list = { ...entry, job: { ...job, tools, before: [] }, warmUp: { highest: 200, step: 50, hold: 300 } }
    const { warmUp, best, given, atStart } = planToolList(model, list, test, [])
    expect(warmUp!.steps.length).toBeGreaterThan(1)
    expect(atStart).toBeCloseTo(warmUp!.steps.at(-1)!.growth, 12)
    expect(best.cuts[0]!.tool).toBe(0)
    expect(given.cuts[0]!.dwell).toBeLessThan(0.01)
    const cold = bestOrder(model.law, { ...list.job, before: tools.slice(1).map((_, i) => [0, i + 1]) })
    expect(best.dwell).toBeLessThan(cold.best.dwell)
  })

  it('takes the tilt that somebody states before the one that is computed', () => {
    const tilts = [
      { axis: 'X', slope: 3e-6, sinceDatum: true },
      { axis: 'Y', slope: -40e-6, sinceDatum: false },
    ]
    expect(planToolList(model, entry, test, []).arms).toBeNull()
    expect(planToolList(model, entry, test, tilts).arms).toMatchObject({ slope: 40e-6, from: 'now', axis: 'Y' })
    expect(planToolList(model, { ...entry, tilt: 10e-6 }, test, tilts).arms).toMatchObject({
      slope: 10e-6,
      from: 'stated',
    })
  })

  it('refuses an order that breaks what must come first, by the tools’ names', () => {
    expect(() => planToolList(model, { ...entry, job: { ...entry.job, before: [[3, 0]] } }, test, [])).toThrow(
      'T1 before T4, which must come first',
    )
  })
})
