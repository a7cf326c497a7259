import { describe, expect, it } from 'vitest'
import { assess, type NominalError } from '../../../core/judge/index.js'
import { jobs } from './jobs.js'
import { nominalError, type Unknown, unknowns } from './propagation.js'

/** part of a standard uncertainty over which central differences are taken: the job's error is smooth within it */
const step = 1e-3

type Measured = (of: NominalError) => number
const size: Measured = of => Math.abs(of.sizeError)
const drift: Measured = of => Math.abs(of.drift)
const both: Measured = of => size(of) + drift(of)

/** Lines of the budget that come from the same unknown, and what of the job's error each tells of. */
const told = (line: string): [name: string, of: Measured][] =>
  line === 'expansion coefficient of the machine'
    ? [
        [line, size],
        ['expansion in the drift', drift],
      ]
    : [[line, both]]

// The law of propagation of uncertainty (GUM 5.1.2) on the job's error as a whole: what it changes by is found by moving
// each unknown a little, where the budget has closed forms.
for (const [name, { outlook, work }] of Object.entries(jobs))
  describe(`the budget of a job: ${name}`, () => {
    const { budget } = assess(outlook, work).axes[0]!
    const of = unknowns(outlook, work)
    const change = ({ standardUncertainty }: Unknown, i: number, measured: Measured): number => {
      const at = (steps: number) =>
        measured(
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
      for (const [line, measured] of told(unknown.line))
        expected.set(line, Math.hypot(expected.get(line) ?? 0, change(unknown, i, measured)))
    })
    it.each([...expected])('"%s" is what the error changes by: %d m', (line, amount) => {
      const found = budget.find(each => each.name === line)?.standardUncertainty ?? 0
      expect(Math.abs(found - amount)).toBeLessThanOrEqual(1e-5 * amount + 1e-14)
    })
    it('has no other line', () => {
      expect(budget.map(line => line.name).filter(line => !expected.has(line))).toEqual([])
    })
  })
