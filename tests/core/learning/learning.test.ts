import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { thermalLoop } from '../../../core/growth/index.js'
import type { ScalableElement } from '../../../core/learning/elements.js'
import {
  effectsBetween,
  learnFactors,
  loopElements,
  type MeasuredGrowth,
  validate,
} from '../../../core/learning/index.js'
import { limits } from '../../../core/learning/learn.js'
import { boundedMinimum, inverse } from '../../../core/learning/quadratic.js'
import { randomStream } from '../../../simulators/random.js'
import { evenly } from '../../evenly.js'
import { machineWith, screwAxis } from '../machines.js'

const elements: ScalableElement[] = [
  { name: 'X screw', axes: ['X'], uncertainty: 0.16 },
  { name: 'column', axes: ['X'], uncertainty: 0.16 },
  { name: 'Y screw', axes: ['Y'], uncertainty: 0.16 },
]

/** measurements as a machine with these factors would give them, each day from its own zero */
const measuredBy = (
  factors: Record<string, number>,
  { seed = 1, days = 6, perDay = 5, noise = 0.5e-6, stated = 0.5e-6 } = {},
): MeasuredGrowth[] => {
  const random = randomStream(seed, 'learning')
  return Array.from({ length: days }, (_, day) => {
    const zeroError = noise * random.normal()
    return Array.from({ length: perDay }, (): MeasuredGrowth => {
      const effects = { 'X screw': 15e-6 * random.normal(), column: 10e-6 * random.normal() }
      const true_ = Object.entries(effects).reduce((sum, [name, e]) => sum + e * (factors[name] ?? 1), 0)
      return {
        value: true_ + noise * random.normal() - zeroError,
        uncertainty: stated,
        occasion: `day ${day}`,
        zero: `X ${day}`,
        effects,
      }
    })
  }).flat()
}

describe('learning factors', () => {
  it('finds known factors within their stated standard errors, over 200 seeds', () => {
    // truth drawn from the prior and left unbounded by it: then the posterior's interval must cover 95 % at k = 2
    let covered = 0
    let count = 0
    for (let seed = 0; seed < 200; seed++) {
      const random = randomStream(seed, 'truth')
      const draw = () => Math.min(Math.max(1 + 0.16 * random.normal(), limits.lowest), limits.highest)
      const truth = { 'X screw': draw(), column: draw() }
      const { factors } = learnFactors(measuredBy(truth, { seed }), elements)
      for (const { element, factor, uncertainty } of factors) {
        if (element === 'Y screw') continue
        count++
        if (Math.abs(factor - truth[element as keyof typeof truth]) <= 2 * uncertainty) covered++
      }
    }
    expect(count).toBe(400)
    expect(covered / count).toBeGreaterThan(0.91)
  })

  it('leaves an element alone that was never moved', () => {
    const { factors } = learnFactors(measuredBy({ 'X screw': 1.2, column: 0.9 }), elements)
    expect(factors[2]).toEqual({
      element: 'Y screw',
      factor: 1,
      uncertainty: expect.closeTo(0.16, 12),
      prior: 0.16,
      atLimit: false,
    })
    expect(learnFactors([], elements).factors.map(f => f.factor)).toEqual([1, 1, 1])
  })

  it('agrees with the closed form of one element and one measurement from a zero', () => {
    // y = f·x + e, var e = 2u² (the zero's error too): f = 1 + (y − x)·x·p²/(x²p² + 2u²)
    const [x, y, u, p] = [10e-6, 13e-6, 1e-6, 0.16]
    const { factors, birgeRatio } = learnFactors(
      [{ value: y, uncertainty: u, occasion: 'a', zero: 'a', effects: { 'X screw': x } }],
      elements,
    )
    const bound = 1 + ((y - x) * x * p ** 2) / (x ** 2 * p ** 2 + 2 * u ** 2 * birgeRatio ** 2)
    expect(factors[0]!.factor).toBeCloseTo(bound, 9)
    expect(factors[0]!.uncertainty).toBeCloseTo(
      Math.sqrt(1 / (1 / p ** 2 + x ** 2 / (2 * u ** 2 * birgeRatio ** 2))),
      9,
    )
  })

  it('never leaves the limits, whatever is measured', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            value: evenly(-1e-3, 1e-3),
            uncertainty: evenly(1e-8, 1e-5),
            occasion: fc.constantFrom('a', 'b', 'c'),
            zero: fc.constantFrom('a', 'b', 'c'),
            effects: fc.record({
              'X screw': evenly(-1e-4, 1e-4),
              column: evenly(-1e-4, 1e-4),
            }),
          }),
          { maxLength: 12 },
        ),
        measured => {
          const { factors, birgeRatio } = learnFactors(measured, elements)
          return (
            birgeRatio >= 1 &&
            factors.every(
              f =>
                f.factor >= limits.lowest &&
                f.factor <= limits.highest &&
                f.uncertainty > 0 &&
                f.uncertainty <= f.prior * (1 + 1e-9),
            )
          )
        },
      ),
      { numRuns: 300 },
    )
  })

  it('trusts measurements less that lie further off than they claim', () => {
    const honest = learnFactors(measuredBy({ 'X screw': 1.1 }, { noise: 2e-6, stated: 2e-6 }), elements)
    const boastful = learnFactors(measuredBy({ 'X screw': 1.1 }, { noise: 2e-6, stated: 0.2e-6 }), elements)
    expect(honest.birgeRatio).toBeLessThan(1.5)
    expect(boastful.birgeRatio).toBeGreaterThan(5)
    // a tenth of the uncertainty was claimed; what comes out is as unsure as it ought to be
    expect(boastful.factors[0]!.uncertainty).toBeGreaterThan(0.6 * honest.factors[0]!.uncertainty)
  })

  it('refuses what is no number', () => {
    const [one] = measuredBy({})
    expect(() => learnFactors([{ ...one!, uncertainty: 0 }], elements)).toThrow(/above 0/)
    expect(() => learnFactors([{ ...one!, effects: { 'X screw': Number.NaN } }], elements)).toThrow(/known effects/)
  })
})

describe('the proof on what was held out', () => {
  it('shows the improvement where the machine is not as described', () => {
    const held = validate(measuredBy({ 'X screw': 1.25, column: 0.8 }), elements)!
    expect(held.occasions).toBe(6)
    expect(held.improves).toBe(true)
    expect(held.corrected).toBeLessThan(0.4 * held.nominal)
  })

  it('does not show one where the machine is as described', () => {
    // with factors of exactly 1 there is nothing to gain; at most one seed in twenty may claim it
    const runs = Array.from({ length: 200 }, (_, seed) => validate(measuredBy({}, { seed, perDay: 4 }), elements)!)
    expect(runs.filter(h => h.improves).length).toBeLessThanOrEqual(10)
    // the bar of a tenth is needed: without it many more would
    expect(runs.filter(h => h.corrected < h.nominal).length).toBeGreaterThan(20)
  })

  it('needs three occasions', () => {
    expect(validate(measuredBy({}, { days: 2 }), elements)).toBeNull()
    expect(validate([], elements)).toBeNull()
  })

  it('computes a held-out occasion without it: what it says cannot change its own factors', () => {
    const measured = measuredBy({ 'X screw': 1.1 })
    const lied = measured.map(m => (m.occasion === 'day 2' ? { ...m, value: m.value + 30e-6 } : m))
    const before = validate(measured, elements)!.errors
    const after = validate(lied, elements)!.errors
    measured.forEach((m, i) => {
      if (m.occasion === 'day 2') expect(after[i]!.corrected - before[i]!.corrected).toBeCloseTo(30e-6, 12)
    })
  })
})

describe('a loop with factors', () => {
  const machine = machineWith({
    nodes: ['x-screw', 'column'],
    axes: [screwAxis('X', 'x-screw', { fixedAt: -0.1 })],
    structure: [
      {
        kind: 'bar',
        id: 'column',
        name: 'column',
        axis: 'X',
        sign: -1,
        length: 0.4,
        material: { name: 'iron', alpha: 11e-6, alphaUncertainty: 0.05 },
        nodes: { column: 1 },
      },
    ],
  })
  const t = [22, 25, 23]

  it('scales the growth of the element named, and of no other', () => {
    const nominal = thermalLoop(machine, 20).axes[0]!
    const scaled = thermalLoop(machine, 20, { 'X screw': 1.2 }).axes[0]!
    const [screw, column] = nominal.elements.map(({ growthAt }) => growthAt(0.25, t))
    expect(scaled.growthAt(0.25, t)).toBeCloseTo(1.2 * screw! + column!, 15)
    expect(scaled.growthPerMetre(t)).toBeCloseTo(1.2 * nominal.growthPerMetre(t), 15)
    expect(scaled.elements.map(({ growthAt }) => growthAt(0.25, t))).toEqual([1.2 * screw!, column!])
    expect(thermalLoop(machine, 20, {}).axes[0]!.growthAt(0.25, t)).toBe(nominal.growthAt(0.25, t))
  })

  it('names its elements, and what each has grown by between two states', () => {
    const loop = thermalLoop(machine, 20)
    expect(loopElements(loop)).toEqual([
      { name: 'X screw', axes: ['X'], uncertainty: Math.hypot(0.05, 0.15) },
      { name: 'column', axes: ['X'], uncertainty: Math.hypot(0.05, 0.15) },
    ])
    const cold = { air: 20, 'x-screw': 20.5, column: 20 }
    const warm = { air: 22, 'x-screw': 23, column: 21 }
    const effects = effectsBetween(loop, 'X', 0.25, cold, warm)
    // α·(0.25 m + 0.1 m)·2.5 K and −α·0.4 m·1 K
    expect(effects['X screw']).toBeCloseTo(11.5e-6 * 0.35 * 2.5, 15)
    expect(effects.column).toBeCloseTo(-11e-6 * 0.4, 15)
    expect(effectsBetween(loop, 'X', 0.25, cold, { air: 22, column: 21 })['X screw']).toBeNaN()
    expect(() => effectsBetween(loop, 'Q', 0, cold, warm)).toThrow(/no axis "Q"/)
  })
})

describe('the solver', () => {
  it('inverts and minimises within bounds', () => {
    const a = [
      [4, 1, 0.5],
      [1, 3, 0.2],
      [0.5, 0.2, 2],
    ]
    const b = inverse(a)
    for (const [i, row] of a.entries())
      for (const k of a.keys()) expect(row.reduce((s, v, j) => s + v * b[j]![k]!, 0)).toBeCloseTo(i === k ? 1 : 0, 12)
    expect(() =>
      inverse([
        [1, 2],
        [2, 1],
      ]),
    ).toThrow(/positive definite/)
    // free: A⁻¹b; bounded: the gradient points out of the box where a bound holds
    const right = [1, -6, 0.3]
    const x = boundedMinimum(a, right, [-1, -1, -1], [1, 1, 1])
    const slope = a.map((row, i) => row.reduce((s, v, k) => s + v * x[k]!, 0) - right[i]!)
    expect(x[1]).toBe(-1)
    expect(slope[1]).toBeGreaterThan(0)
    expect(slope[0]).toBeCloseTo(0, 9)
    expect(slope[2]).toBeCloseTo(0, 9)
  })
})
