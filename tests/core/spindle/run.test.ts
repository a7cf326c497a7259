import { describe, expect, it } from 'vitest'
import { growthTest } from '../../../core/spindle/growth-test.js'
import {
  nextReading,
  type RunEvent,
  runState,
  type SpindlePlan,
  stepOver,
  testOfRun,
} from '../../../core/spindle/index.js'

const start = Date.UTC(2026, 0, 14, 6)
const minute = 60_000
const plan: SpindlePlan = {
  steps: [
    { speed: 100, duration: 1800 },
    { speed: 0, duration: 600 },
  ],
  readAt: [60, 180, 300, 600],
  readWith: 'dial indicator',
  sign: -1,
  toolLength: 0.12,
  indicatorHeight: null,
  resolution: 1e-6,
  stop: null,
}
const step = (step: number, at: number): RunEvent => ({ kind: 'step', key: `s${step}`, at: start + at * minute, step })
const reading = (at: number, value: number, key = `r${at}`): RunEvent => ({
  kind: 'reading',
  key,
  at: start + at * minute,
  value,
})

describe('a guided growth test', () => {
  it('is the same in whatever order, and however often, its events are told', () => {
    const events: RunEvent[] = [
      reading(-1, 5e-6),
      step(0, 0),
      reading(1, 4e-6),
      reading(3, 1e-6),
      { kind: 'correction', key: 'c', at: start + 4 * minute, of: 'r3', value: 2e-6 },
      reading(5, 90e-6),
      { kind: 'correction', key: 'd', at: start + 6 * minute, of: 'r5', value: null },
      step(1, 30),
      reading(32, 1e-6),
    ]
    const told = runState(events)
    expect(runState([...events].reverse())).toEqual(told)
    expect(runState([...events, ...events.slice(2, 5)])).toEqual(told)
    const test = testOfRun(plan, told)!
    expect(test.steps).toEqual([
      { speed: 100, duration: 1800 },
      { speed: 0, duration: 120 },
    ])
    // before it turned: zero; the corrected one as corrected, the one left out not at all; longer reads lower
    expect(test.readings.map(({ at }) => at)).toEqual([0, 60, 180, 1920])
    expect(test.readings.map(({ growth }) => Math.round(growth * 1e6) + 0)).toEqual([0, 1, 3, 4])
    expect(growthTest.safeParse(test).success).toBe(true)
  })

  it('takes the last correction of a reading, and lasts as long as it was run, not as planned', () => {
    const late: RunEvent[] = [
      step(0, 0),
      reading(2, 0),
      { kind: 'correction', key: 'a', at: start + 3 * minute, of: 'r2', value: -1e-6 },
      { kind: 'correction', key: 'b', at: start + 4 * minute, of: 'r2', value: -2e-6 },
      step(1, 41),
      reading(45, 0),
    ]
    const state = runState(late)
    expect(state.readings[0]).toMatchObject({ value: -2e-6, corrected: true })
    expect(testOfRun(plan, state)!.steps.map(({ duration }) => duration)).toEqual([2460, 240])
    expect(testOfRun(plan, runState([reading(0, 0)]))).toBeNull()
    expect(testOfRun(plan, runState([reading(0, 0), step(0, 1), step(1, 2)]))).toBeNull()
  })

  it('asks for the next reading by the plan, then at its last interval, and at the end of the step', () => {
    const due = (...events: RunEvent[]) => {
      const at = nextReading(plan, runState(events))
      return at === null ? null : (at - start) / minute
    }
    expect(due()).toBeNull()
    expect(due(step(0, 0))).toBe(1)
    expect(due(step(0, 0), reading(1, 0))).toBe(3)
    // somewhat too soon counts for the one that is due; much too soon does not
    expect(due(step(0, 0), reading(2.8, 0))).toBe(5)
    expect(due(step(0, 0), reading(2, 0))).toBe(3)
    // one that was missed is not asked for any more
    expect(due(step(0, 0), reading(12, 0))).toBe(15)
    expect(due(step(0, 0), reading(28, 0))).toBe(30)
    expect(due(step(0, 0), reading(30, 0))).toBeNull()
    expect(due(step(0, 0), reading(30, 0), step(1, 30.5))).toBe(31.5)
  })

  it('says when a step is over: by its time, or by the stop rule where one is chosen', () => {
    const steady = { ...plan, steps: [{ speed: 100, duration: 7200 }], stop: { window: 600, part: 0.15 } }
    const growth = (tau: number) => (at: number) => 20e-6 * (1 - Math.exp(-at / tau))
    const readAll = (of: (at: number) => number, until: number) => [
      step(0, 0),
      ...Array.from({ length: until / 2 }, (_, i) => reading(2 * (i + 1), of(2 * (i + 1)))),
    ]
    expect(stepOver(plan, runState([step(0, 0)]), start + 29 * minute)).toBeNull()
    expect(stepOver(plan, runState([step(0, 0)]), start + 30 * minute)).toBe('time')
    const at = (tau: number, until: number) =>
      stepOver(steady, runState(readAll(growth(tau), until)), start + until * minute)
    // never before two windows; then as soon as the last one brings less than 15 % of the first
    expect(at(2, 16)).toBeNull()
    expect(at(8, 20)).toBeNull()
    expect(at(8, 40)).toBe('steady')
    expect(at(60, 60)).toBeNull()
  })
})
