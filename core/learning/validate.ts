import { z } from 'zod'
import { metres } from '../quantities.js'
import type { ScalableElement } from './elements.js'
import { learnFactors, type MeasuredGrowth } from './learn.js'

export const heldOut = z.object({
  occasions: z.number().describe('how many there are, each held out once'),
  nominal: metres.describe('m; root mean square of measured − computed, with the nominal model'),
  corrected: metres.describe('m; the same with factors learned from the other occasions'),
  better: z.number().describe('occasions on which the learned factors were the better ones'),
  improves: z.boolean().describe('they are better by `worthwhile` at least, and on more occasions than not'),
})
/** How well factors do on measurements they were not learned from. */
export interface HeldOut extends z.infer<typeof heldOut> {
  /** m; by measurement, in the order given: measured − computed */
  errors: { nominal: number; corrected: number }[]
}

/** with fewer occasions nothing can be said about the next one; common practice, no source */
const leastOccasions = 3

/**
 * Least part of the error that must go. By chance alone the error of a machine that is as described seems to shrink by
 * something in one case of eight; by a tenth in one of twenty (four occasions) to one of a hundred (six or more): from our
 * own simulation with three hundred seeds, see the tests.
 */
const worthwhile = 0.1

const scaled = (effects: Readonly<Record<string, number>>, factors: Readonly<Record<string, number>>): number =>
  Object.entries(effects).reduce((sum, [element, effect]) => sum + effect * (factors[element] ?? 1), 0)

const rms = (errors: readonly number[]): number =>
  Math.sqrt(errors.reduce((sum, e) => sum + e ** 2, 0) / Math.max(errors.length, 1))

/**
 * Leave-one-occasion-out validation: each occasion is computed with factors learned from all the others.
 *
 * @returns null when there are fewer occasions than `leastOccasions`
 * @see Hastie, Tibshirani & Friedman, The Elements of Statistical Learning, section 7.10
 */
export const validate = (measured: readonly MeasuredGrowth[], elements: readonly ScalableElement[]): HeldOut | null => {
  const occasions = [...new Set(measured.map(m => m.occasion))]
  if (occasions.length < leastOccasions) return null
  const learned = new Map(
    occasions.map(occasion => {
      const others = measured.filter(m => m.occasion !== occasion)
      const { factors } = learnFactors(others, elements)
      return [occasion, Object.fromEntries(factors.map(f => [f.element, f.factor]))]
    }),
  )
  const errors = measured.map(({ value, effects, occasion }) => ({
    nominal: value - scaled(effects, {}),
    corrected: value - scaled(effects, learned.get(occasion)!),
  }))
  const better = occasions.filter(occasion => {
    const own = errors.filter((_, i) => measured[i]!.occasion === occasion)
    return rms(own.map(e => e.corrected)) < rms(own.map(e => e.nominal))
  }).length
  const nominal = rms(errors.map(e => e.nominal))
  const corrected = rms(errors.map(e => e.corrected))
  return {
    occasions: occasions.length,
    nominal,
    corrected,
    errors,
    better,
    improves: corrected < (1 - worthwhile) * nominal && better * 2 > occasions.length,
  }
}
