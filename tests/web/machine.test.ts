import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { AxisJob, Verdict } from '../../core/state.js'
import { extremes, growthLine, replacedHint, temperatureLine } from '../../web/charts/lines.js'
import { verdictBands, verdictShares } from '../../web/machine/bands.js'
import { budgetPieces, budgetRows } from '../../web/machine/budget-rows.js'
import { evenly } from '../evenly.js'

const job = (of: Partial<AxisJob>): AxisJob => ({
  axis: 'X',
  sizeError: 0,
  drift: 0,
  error: 0,
  range: { low: 0, high: 0 },
  uncertainty: 0,
  errorInHour: 0,
  rangeInHour: { low: 0, high: 0 },
  budget: [],
  parts: [],
  ...of,
})
const sum = (lengths: { length: number }[]) => lengths.reduce((total, p) => total + p.length, 0)

describe('the error budget’s bar', () => {
  it('is as long as error and uncertainty together', () => {
    const micrometre = evenly(0, 50e-6)
    fc.assert(
      fc.property(micrometre, micrometre, fc.array(micrometre, { minLength: 1 }), (size, drift, u) => {
        const uncertainty = 2 * Math.hypot(...u)
        const pieces = budgetPieces(
          job({
            sizeError: size,
            drift: -drift,
            error: size + drift,
            uncertainty,
            parts: [
              { name: 'size error', amount: size },
              { name: 'drift', amount: -drift },
            ],
            budget: u.map((standardUncertainty, i) => ({ name: `${i}`, standardUncertainty })),
          }),
        )
        expect(sum(pieces)).toBeCloseTo(size + drift + uncertainty, 12)
      }),
    )
  })
  it('shares the expanded uncertainty out by squares, largest first', () => {
    const pieces = budgetPieces(
      job({
        uncertainty: 10e-6,
        budget: [
          { name: 'small', standardUncertainty: 3e-6 },
          { name: 'large', standardUncertainty: 4e-6 },
        ],
      }),
    )
    expect(pieces.map(p => p.name)).toEqual(['large', 'small'])
    expect(pieces[0]?.length).toBeCloseTo(6.4e-6, 12)
    expect(pieces[1]?.length).toBeCloseTo(3.6e-6, 12)
  })
  it('shows size error and drift where finer parts cancel each other', () => {
    const pieces = budgetPieces(
      job({
        sizeError: 3e-6,
        drift: 1e-6,
        error: 4e-6,
        parts: [
          { name: 'screw', amount: 9e-6 },
          { name: 'part', amount: -5e-6 },
        ],
      }),
    )
    expect(pieces.map(p => p.name)).toEqual(['size error', 'drift'])
  })
  it('gives a contribution one number on all axes', () => {
    const piece = (name: string, length: number) => ({ kind: 'uncertainty' as const, name, amount: length, length })
    const error = { kind: 'error' as const, name: 'drift', amount: 1e-6, length: 1e-6 }
    const rows = budgetRows([
      [error, piece('a', 2)],
      [piece('b', 5), piece('a', 1)],
    ])
    expect(rows.map(r => r.name)).toEqual(['drift', 'b', 'a'])
    expect(rows[1]?.pieces[0]).toBeUndefined()
    expect(rows[2]?.pieces.map(p => p?.length)).toEqual([2, 1])
  })
})

describe('verdict bands', () => {
  const change = (at: number, verdict: Verdict) => ({ at, verdict })
  it('begin with what stood before the span', () => {
    expect(verdictBands([change(10, 'fit'), change(150, 'unfit')], 100, 200)).toEqual([
      { verdict: 'fit', from: 100, to: 150 },
      { verdict: 'unfit', from: 150, to: 200 },
    ])
  })
  it('leave open what is not on record', () => {
    expect(verdictBands([change(150, 'fit')], 100, 200)).toEqual([{ verdict: 'fit', from: 150, to: 200 }])
    expect(verdictBands([], 100, 200)).toEqual([])
  })
  it('do not reach past what is known', () => {
    expect(verdictBands([change(150, 'fit'), change(250, 'unfit')], 100, 200)).toEqual([
      { verdict: 'fit', from: 150, to: 200 },
    ])
  })
  it('join what was only confirmed', () => {
    expect(verdictBands([change(100, 'fit'), change(120, 'fit')], 100, 200)).toEqual([
      { verdict: 'fit', from: 100, to: 200 },
    ])
  })
  it('tell how long each verdict stood', () => {
    const bands = verdictBands([change(0, 'unfit'), change(25, 'fit')], 0, 100)
    expect(verdictShares(bands)).toEqual([
      { verdict: 'fit', part: 0.75 },
      { verdict: 'unfit', part: 0.25 },
    ])
    expect(verdictShares([])).toEqual([])
  })
})

describe('lines', () => {
  const minute = 60_000
  it('of growth range over the travel and break where growth is not known', () => {
    const line = growthLine({
      axis: 'X',
      points: [
        { at: 0, atZero: 1, atWork: 2, atTravel: -3, uncertainty: 1 },
        { at: minute, atZero: null, atWork: null, atTravel: null, uncertainty: null },
      ],
    })
    expect(line[0]).toEqual({ at: 0, value: 2, low: -3, high: 2 })
    expect(line[1]?.value).toBeNaN()
  })
  it('of a node break where nothing was believed, and say whose sensor stood in', () => {
    const at = (minutes: number) => ({
      at: minutes * minute,
      temperature: 20,
      lowest: 19,
      highest: 21,
      uncertainty: 0.1,
    })
    const line = temperatureLine({ node: 'screw', points: [0, 2, 4, 60, 62].map(at) })
    expect(line.map(({ value }) => value)).toEqual([20, 20, 20, Number.NaN, 20, 20])
    expect(line[0]).toEqual({ at: 0, value: 20, low: 19, high: 21 })
    expect(replacedHint([])).toBe('')
    expect(replacedHint(['X screw'])).toMatch(/^ X screw: .* another place’s sensor/)
  })
  it('tell their last value, lowest and highest', () => {
    const point = (value: number) => ({ at: 0, value, low: value - 1, high: value + 1 })
    expect(extremes([point(3), point(8), point(5), point(Number.NaN)])).toEqual({ last: 5, lowest: 2, highest: 9 })
    expect(extremes([point(Number.NaN)])).toBeNull()
  })
})
