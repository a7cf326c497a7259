import { z } from 'zod'
import type { ScalableElement } from './elements.js'
import { boundedMinimum, inverse } from './quadratic.js'

/** Growth somebody measured, beside what the nominal loop says. */
export interface MeasuredGrowth {
  /** m; since the zero */
  value: number
  /** m; standard uncertainty of one measuring, the zero's as well as this one's */
  uncertainty: number
  /** measurements of one occasion share what was particular about that day: they are held out together */
  occasion: string
  /** measurements counted from one zero share its error */
  zero: string
  /** m by element: nominal growth since the zero */
  effects: Readonly<Record<string, number>>
}

export const learnedFactor = z.object({
  element: z.string(),
  factor: z.number().describe('times the nominal growth; 1 before anything is known'),
  uncertainty: z.number().describe('standard uncertainty of the factor'),
  prior: z.number().describe('the same before anything was measured'),
  atLimit: z.boolean().describe('it was stopped by a limit'),
})
/** Scale factor of one element's growth, as measurements tell it. */
type LearnedFactor = z.infer<typeof learnedFactor>

/** Factors of all elements, and how well the measurements agree with them. */
export interface Learned {
  factors: LearnedFactor[]
  /** how many times as far as their stated uncertainty the measurements lie from the fit; at least 1 (Birge, R. T., 1932, Phys. Rev. 40, 207, from memory) */
  birgeRatio: number
}

/**
 * A factor beyond these would mean a wrong description of the machine, not a coefficient that is a little off.
 * Judgement.
 */
export const limits = { lowest: 0.5, highest: 1.5 }

interface Normal {
  /** Hessian and right side of the measurements alone, for factors as differences from 1 */
  matrix: number[][]
  right: number[]
}

/** Measurements by their zero, each group with the variance of the zero's own uncertainty, m². */
const byZero = (measured: readonly MeasuredGrowth[]) => {
  const groups = new Map<string, MeasuredGrowth[]>()
  for (const each of measured) groups.set(each.zero, [...(groups.get(each.zero) ?? []), each])
  return [...groups.values()].map(group => ({
    group,
    zeroVariance: group.reduce((sum, m) => sum + m.uncertainty ** 2, 0) / group.length,
  }))
}

/** Growth that is left when every factor is 1, m. */
const nominalResidual = ({ value, effects }: MeasuredGrowth): number =>
  value - Object.values(effects).reduce((sum, effect) => sum + effect, 0)

/**
 * Weighted sums of the measurements. Those from one zero have the covariance diag(u²) + u0²·11ᵀ, u0 the zero's own
 * uncertainty; its inverse is written out (Sherman–Morrison).
 */
const normalOf = (measured: readonly MeasuredGrowth[], elements: readonly ScalableElement[]): Normal => {
  const n = elements.length
  const matrix = elements.map(() => new Array<number>(n).fill(0))
  const right = new Array<number>(n).fill(0)
  for (const { group, zeroVariance } of byZero(measured)) {
    const row = new Array<number>(n).fill(0)
    let weights = 0
    let residuals = 0
    for (const each of group) {
      const weight = 1 / each.uncertainty ** 2
      const x = elements.map(element => each.effects[element.name] ?? 0)
      const y = nominalResidual(each)
      weights += weight
      residuals += weight * y
      for (let i = 0; i < n; i++) {
        row[i]! += weight * x[i]!
        right[i]! += weight * x[i]! * y
        for (let k = 0; k < n; k++) matrix[i]![k]! += weight * x[i]! * x[k]!
      }
    }
    const shared = zeroVariance / (1 + zeroVariance * weights)
    for (let i = 0; i < n; i++) {
      right[i]! -= shared * row[i]! * residuals
      for (let k = 0; k < n; k++) matrix[i]![k]! -= shared * row[i]! * row[k]!
    }
  }
  return { matrix, right }
}

/** Weighted square of the residuals with these factors (as differences from 1), in the same covariance. */
const chiSquare = (
  measured: readonly MeasuredGrowth[],
  elements: readonly ScalableElement[],
  factors: number[],
): number => {
  let total = 0
  for (const { group, zeroVariance } of byZero(measured)) {
    let weights = 0
    let sum = 0
    for (const each of group) {
      const weight = 1 / each.uncertainty ** 2
      const rest =
        nominalResidual(each) - elements.reduce((s, e, i) => s + factors[i]! * (each.effects[e.name] ?? 0), 0)
      weights += weight
      sum += weight * rest
      total += weight * rest ** 2
    }
    total -= (zeroVariance / (1 + zeroVariance * weights)) * sum ** 2
  }
  return total
}

/**
 * Scale factors of the loop's elements from measured growth: least squares weighted by the stated uncertainties, with
 * each factor's prior (1, with the element's own uncertainty) as one more observation, which is ridge regression, and
 * bounded by `limits`. Measurements that lie further from the fit than they claim count for less: their uncertainties
 * are multiplied by what brings chi square down to its degrees of freedom (Birge's ratio). An element that was never
 * moved keeps the factor 1 and its prior uncertainty.
 *
 * @param measured measurements whose effects are all known; uncertainties above 0
 * @param elements of the loop
 * @returns factors in the elements' order
 * @throws RangeError when a value, an uncertainty or an effect is not a number
 * @see Hoerl, A. E., Kennard, R. W. (1970), Technometrics 12, 55; Gelman et al., Bayesian Data Analysis, chapter 14;
 *   Birge, R. T. (1932), Phys. Rev. 40, 207 (from memory)
 */
export const learnFactors = (measured: readonly MeasuredGrowth[], elements: readonly ScalableElement[]): Learned => {
  for (const { value, uncertainty, effects } of measured)
    if (!Number.isFinite(value) || !(uncertainty > 0) || !Object.values(effects).every(Number.isFinite))
      throw new RangeError('a measurement needs a value, an uncertainty above 0 and known effects')
  const n = elements.length
  const { matrix, right } = normalOf(measured, elements)
  const low = new Array<number>(n).fill(limits.lowest - 1)
  const high = new Array<number>(n).fill(limits.highest - 1)
  const withPrior = (weight: number): number[][] =>
    matrix.map((row, i) => row.map((v, k) => v * weight + (i === k ? 1 / elements[i]!.uncertainty ** 2 : 0)))
  const solve = (weight: number): number[] =>
    boundedMinimum(
      withPrior(weight),
      right.map(v => v * weight),
      low,
      high,
    )

  let birgeRatio = 1
  let found = solve(1)
  for (let round = 0; round < 30; round++) {
    // factors that the measurements decide take degrees of freedom: the trace of what the data have in each of them
    const covariance = inverse(withPrior(1 / birgeRatio ** 2))
    let used = 0
    for (let i = 0; i < n; i++)
      for (let k = 0; k < n; k++) used += (covariance[i]![k]! * matrix[k]![i]!) / birgeRatio ** 2
    const freedom = Math.max(measured.length - used, 1)
    const next = Math.max(1, Math.sqrt(Math.max(chiSquare(measured, elements, found), 0) / freedom))
    const done = Math.abs(next - birgeRatio) < 1e-6 * birgeRatio
    birgeRatio = next
    found = solve(1 / birgeRatio ** 2)
    if (done) break
  }
  const covariance = inverse(withPrior(1 / birgeRatio ** 2))
  return {
    birgeRatio,
    factors: elements.map(({ name, uncertainty }, i) => ({
      element: name,
      factor: 1 + found[i]!,
      uncertainty: Math.sqrt(covariance[i]![i]!),
      prior: uncertainty,
      atLimit: found[i]! <= low[i]! || found[i]! >= high[i]!,
    })),
  }
}
