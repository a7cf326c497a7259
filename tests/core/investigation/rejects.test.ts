import { describe, expect, it } from 'vitest'
import { bestDelay, clockOffset, rejectCurve, verdictTable, whatIf } from '../../../core/investigation/index.js'
import { drawing } from '../../../core/statistics/drawing.js'
import { holmLevels } from '../../../core/statistics/index.js'

const hour = 3_600_000
const day = 24 * hour

describe('rejects against the verdict at the cut', () => {
  // Fisher (1935): the lady who tastes 8 cups, 3 of each 4 right; two-sided 0.4857 (34/70)
  it('are tested exactly, with shares and odds', () => {
    const parts = Array.from({ length: 8 }, (_, i) => ({ at: i * hour, reject: [0, 1, 2, 4].includes(i) }))
    const table = verdictTable('bores', parts, at => (at < 4 * hour ? 'not fit' : 'fit'), 0)
    expect(table).toMatchObject({ notFit: { rejects: 3, good: 1 }, fit: { rejects: 1, good: 3 } })
    expect(table.exact).toBeCloseTo(34 / 70, 12)
    expect(table.rejectedNotFit!.value).toBe(0.75)
    expect(table.oddsRatio!.low).toBeLessThan(1)
    // all in one half day: there is nothing to exchange it for
    expect(table).toMatchObject({ halfDays: 1, exchanges: 1 })
  })
  it('of one bad half day are sure by the exact test, and prove little once half days are exchanged', () => {
    const parts = Array.from({ length: 50 }, (_, i) => ({
      at: Math.floor(i / 10) * day + 8 * hour + (i % 10) * 60_000,
      reject: i < 9,
    }))
    const { exact, halfDays } = verdictTable('bores', parts, at => (at < day ? 'not fit' : 'fit'), 0)
    expect(exact).toBeLessThan(1e-6)
    expect(halfDays).toBeGreaterThan(0.15)
    expect(halfDays).toBeLessThan(0.26)
  })
  it('have no figures where there is nothing to compare, and leave out what was unknown', () => {
    const parts = [{ at: 0, reject: true }]
    expect(verdictTable('bores', parts, () => null, 0)).toMatchObject({
      unknown: { rejects: 1, good: 0 },
      exact: null,
      halfDays: null,
      oddsRatio: null,
      rejectedFit: null,
    })
  })
})

describe('rejects over the predicted error', () => {
  it('rise along a curve with its interval, and bins tell what was', () => {
    const draw = drawing(17)
    const errors = Array.from({ length: 200 }, () => (draw(2000) / 100 - 10) * 1e-6)
    const rejects = errors.map(error => draw(1000) / 1000 < 1 / (1 + Math.exp(-(Math.abs(error) * 1e6 - 6))))
    const curve = rejectCurve(errors, rejects)!
    expect(curve.separated).toBe(false)
    expect(curve.half! * 1e6).toBeGreaterThan(5)
    expect(curve.half! * 1e6).toBeLessThan(7)
    for (const { probability, low, high } of curve.points) {
      expect(low!).toBeLessThan(probability)
      expect(high!).toBeGreaterThan(probability)
    }
    expect(curve.bins.reduce((sum, { parts }) => sum + parts, 0)).toBe(200)
    expect(curve.bins.reduce((sum, bin) => sum + bin.rejects, 0)).toBe(rejects.filter(Boolean).length)
  })
  it('that lie apart are told to, without an interval', () => {
    const curve = rejectCurve([1e-6, 2e-6, 3e-6, 11e-6, 12e-6, 13e-6], [false, false, false, true, true, true])!
    expect(curve.separated).toBe(true)
    expect(curve.points[0]).toMatchObject({ low: null, high: null })
    expect(rejectCurve([1e-6, 2e-6], [false, false])).toBeNull()
  })
})

describe('delay', () => {
  const step = 15 * 60_000
  const values = Float64Array.from({ length: 20 * 96 }, (_, i) => Math.sin(i / 9) + Math.sin(i / 23) + Math.sin(i / 51))
  const at = Array.from({ length: 60 }, (_, i) => 2 * day + i * 7 * hour)
  const predicted = (by: number) => at.map(time => values[Math.round((time + by) / step)]!)
  it('of the air is found, to the step', () => {
    const late = at.map(time => values[Math.round((time - 1.5 * hour) / step)]!)
    expect(bestDelay(at, late, { from: 0, step, values }, null)).toMatchObject({
      delay: 5400,
      explained: expect.closeTo(1, 9),
    })
  })
  it('that no body of the machine can have is not told', () => {
    const late = (hours: number) => at.map(time => values[Math.round((time - hours * hour) / step)]!)
    expect(bestDelay(at, late(1.5), { from: 0, step, values }, 7200)).toMatchObject({ delay: 5400 })
    expect(bestDelay(at, late(5), { from: 0, step, values }, 1800)).toBeNull()
  })
  it('of a clock is asked about where the parts go much better with it, and not otherwise', () => {
    const parts = (by: number) => {
      const draw = drawing(5)
      return at.map((time, i) => ({
        at: time,
        predicted: predicted(0)[i]!,
        deviation: predicted(by)[i]! + draw(100) / 1000,
      }))
    }
    const moved = [-3600, 3600].map(offset => ({ offset, predicted: predicted(1000 * offset) }))
    expect(clockOffset(parts(hour), moved)).toMatchObject({ offset: 3600 })
    expect(clockOffset(parts(-hour), moved)).toMatchObject({ offset: -3600 })
    expect(clockOffset(parts(0), moved)).toBeNull()
  })
})

describe('what if', () => {
  const part = (deviation: number, predicted: number) => ({
    inspection: 1,
    deviation,
    predicted,
    otherwise: 0,
    uncertainty: Math.abs(predicted) / 10,
    lower: -10e-6,
    upper: 10e-6,
  })
  it('keeps what heat did not explain, with the offset kept or the parts centred', () => {
    const parts = [part(14e-6, 6e-6), part(12e-6, 1e-6), part(5e-6, 2e-6), part(9.9e-6, -3e-6)]
    const found = whatIf({ kind: 'held', temperature: 20 }, parts)
    expect(found.rejectsAsItWas).toBe(2)
    // 8, 11, 3 and 12.9 µm; less their mean -0.725, 2.275, -5.725 and 4.175
    expect(found.deviations.map(({ deviation }) => deviation * 1e6)).toEqual([
      expect.closeTo(8, 9),
      expect.closeTo(11, 9),
      expect.closeTo(3, 9),
      expect.closeTo(12.9, 9),
    ])
    expect(found.offsetKept.rejects).toMatchObject({ value: 2, low: 2, high: 2 })
    expect(found.centred).toMatchObject({ rejects: { value: 0 }, mean: expect.closeTo(0, 15) })
    expect(found.centred.spread).toBeCloseTo(found.offsetKept.spread, 15)
  })
  it('has an interval where a part lies near a limit', () => {
    const { rejects } = whatIf({ kind: 'held', temperature: 20 }, [part(14.9e-6, 5e-6)]).offsetKept
    expect(rejects).toEqual({ value: 0, low: 0, high: 1 })
  })
})

describe('levels for many features', () => {
  it('rise step by step, and none counts after the first that does not (Holm)', () => {
    // R, p.adjust(c(0.01, 0.04, 0.03, 0.005), "holm") = 0.03 0.06 0.06 0.02, from memory: two count at 0.05
    const chances = [0.01, 0.04, 0.03, 0.005]
    const levels = holmLevels(chances, 0.05)
    expect(levels[3]).toBeCloseTo(0.0125, 12)
    expect(levels[0]).toBeCloseTo(0.05 / 3, 12)
    expect(levels[2]).toBeCloseTo(0.025, 12)
    expect(levels[1]).toBeCloseTo(0.025, 12)
    expect(chances.map((chance, i) => chance <= levels[i]!)).toEqual([true, false, false, true])
    expect(holmLevels([], 0.05)).toEqual([])
  })
})
