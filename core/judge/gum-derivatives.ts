import type { BudgetInput, Model } from './gum.js'

/** Variance of the result that comes from the product of two uncertainties, or from the square of one. */
export interface SecondOrderTerm {
  between: [string, string]
  /** unit of the result, squared; can be below zero */
  variance: number
}

/** parts of a standard uncertainty over which differences are taken: small for slopes, larger for bends */
const slopeStep = 0.01
const bendStep = 0.1

/** Step for an input: a part of its uncertainty, yet large enough beside its value not to drown in rounding. */
const stepOf = ({ value, standardUncertainty }: BudgetInput, part: number): number =>
  Math.max(part * standardUncertainty, Math.abs(value) * part * 1e-4)

/**
 * Change of the result per change of one input, by a central difference.
 *
 * @returns 0 for an input without uncertainty, which then does not matter
 * @see GUM (JCGM 100:2008), 5.1.3 note 2
 */
export const sensitivityTo = (inputs: readonly BudgetInput[], model: Model, index: number): number => {
  const input = inputs[index]!
  if (input.standardUncertainty === 0) return 0
  const h = stepOf(input, slopeStep)
  const at = (shift: number) => model(inputs.map(({ value }, i) => (i === index ? value + shift : value)))
  return (at(h) - at(-h)) / (2 * h)
}

/**
 * Second-order terms: [½ (∂²f/∂xi∂xj)² + ∂f/∂xi · ∂³f/∂xi∂xj²] u²(xi) u²(xj), those of (i, j) and (j, i) together.
 *
 * @throws RangeError when inputs are correlated, for which the terms do not hold
 * @see GUM (JCGM 100:2008), 5.1.2 note
 */
export const productTerms = (
  inputs: readonly BudgetInput[],
  model: Model,
  correlation: readonly Float64Array[],
): SecondOrderTerm[] => {
  if (correlation.some((row, i) => row.some((value, j) => i !== j && value !== 0)))
    throw new RangeError('second-order terms hold for independent inputs only: leave them out, or the correlations')
  const values = inputs.map(input => input.value)
  const h = inputs.map(input => stepOf(input, bendStep))
  const at = (...shifts: [index: number, steps: number][]) => {
    const moved = values.slice()
    for (const [index, steps] of shifts) moved[index]! += steps * h[index]!
    return model(moved)
  }
  const here = at()
  const first = inputs.map((_, i) => (at([i, 1]) - at([i, -1])) / 2 / h[i]!)
  /** ∂²f/∂xi∂xj */
  const second = (i: number, j: number): number =>
    i === j
      ? (at([i, 1]) - 2 * here + at([i, -1])) / h[i]! ** 2
      : (at([i, 1], [j, 1]) - at([i, 1], [j, -1]) - at([i, -1], [j, 1]) + at([i, -1], [j, -1])) / 4 / h[i]! / h[j]!
  /** ∂³f/∂xi∂xj² */
  const third = (i: number, j: number): number => {
    if (i === j) return (at([i, 2]) - 2 * at([i, 1]) + 2 * at([i, -1]) - at([i, -2])) / 2 / h[i]! ** 3
    const bend = (side: number) => at([i, side], [j, 1]) - 2 * at([i, side]) + at([i, side], [j, -1])
    return (bend(1) - bend(-1)) / 2 / h[i]! / h[j]! ** 2
  }
  const terms: SecondOrderTerm[] = []
  for (let i = 0; i < inputs.length; i++)
    for (let j = i; j < inputs.length; j++) {
      const spread = (inputs[i]!.standardUncertainty * inputs[j]!.standardUncertainty) ** 2
      if (spread === 0) continue
      const one = second(i, j) ** 2 / 2
      const variance =
        i === j ? one + first[i]! * third(i, i) : 2 * one + first[i]! * third(i, j) + first[j]! * third(j, i)
      terms.push({ between: [inputs[i]!.name, inputs[j]!.name], variance: variance * spread })
    }
  return terms.sort((a, b) => Math.abs(b.variance) - Math.abs(a.variance))
}
