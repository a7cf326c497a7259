import { describe, expect, it } from 'vitest'
import { assess, type NominalError } from '../../../core/judge/index.js'
import { jobs } from './jobs.js'
import { nominalError, type Unknown, unknowns } from './propagation.js'

/** part of a standard uncertainty over which central differences are taken: the job's error is smooth within it */
const step = 1e-3

const errorOf = (of: NominalError) => Math.abs(of.sizeError) + Math.abs(of.drift)

// The law of propagation of uncertainty (GUM 5.1.2) on the job's error as a whole: what it changes by is found by moving
// each unknown a little, where the budget has closed forms.
for (const [name, { outlook, work }] of Object.entries(jobs))
  describe(`the budget of a job: ${name}`, () => {
    const { budget } = assess(outlook, work).axes[0]!
    const of = unknowns(outlook, work)
    const change = ({ standardUncertainty }: Unknown, i: number): number => {
      const at = (steps: number) =>
        errorOf(
          nominalError(
            outlook,
            work,
            of,
            of.map((_, j) => (j === i ? steps * step * standardUncertainty : 0)),
          ),
        )
      return (at(1) - at(-1)) / (2 * step)
    }
    const expected = new Map<string, number>()
    of.forEach((unknown, i) => {
      expected.set(unknown.line, Math.hypot(expected.get(unknown.line) ?? 0, change(unknown, i)))
    })
    it.each([...expected])('"%s" is what the error changes by: %d m', (line, amount) => {
      const found = budget.find(each => each.name === line)?.standardUncertainty ?? 0
      expect(Math.abs(found - amount)).toBeLessThanOrEqual(1e-5 * amount + 1e-14)
    })
    it('has no other line', () => {
      expect(budget.map(line => line.name).filter(line => !expected.has(line))).toEqual([])
    })
  })
