import { studentFactor } from '../statistics/index.js'
import { correlationOf, kinOf } from './gum-correlation.js'
import { productTerms, type SecondOrderTerm, sensitivityTo } from './gum-derivatives.js'

/** One input of a measurement model. */
export interface BudgetInput {
  name: string
  value: number
  /** in the unit of the value */
  standardUncertainty: number
  /** how well the standard uncertainty is known; left out = exactly */
  degreesOfFreedom?: number
  /** change of the result per change of the input; left out = found from the model */
  sensitivity?: number
}

/** Result of the measurement for values of the inputs, in their order. */
export type Model = (values: readonly number[]) => number

export interface BudgetSettings {
  /** correlation of inputs i and j, −1 to 1; left out = independent but for the groups */
  correlation?: readonly (readonly number[])[]
  /** names of inputs that share one error, as sensors of one batch share an offset: fully correlated */
  groups?: readonly (readonly string[])[]
  /** also count products of uncertainties (GUM 5.1.2, note); only for independent inputs */
  secondOrder?: boolean
  /** a fixed factor, or the probability to cover by Student's distribution; left out = factor 2 */
  coverage?: { factor: number } | { probability: number }
}

export interface BudgetLine extends BudgetInput {
  degreesOfFreedom: number
  sensitivity: number
  /** sensitivity × standard uncertainty, sign kept, in the unit of the result */
  amount: number
}

export interface Budget {
  /** the model's result at the inputs' values */
  value: number
  /** largest amount first */
  lines: BudgetLine[]
  /** largest first; empty when not asked for */
  secondOrder: SecondOrderTerm[]
  /** combined standard uncertainty, in the unit of the result */
  standardUncertainty: number
  /** Infinity when all uncertainties are known exactly */
  effectiveDegreesOfFreedom: number
  coverageFactor: number
  /** coverage factor × combined standard uncertainty */
  expandedUncertainty: number
}

/**
 * Uncertainty budget of a measurement by the law of propagation of uncertainty.
 *
 * Welch and Satterthwaite's formula holds for independent inputs. Inputs that are correlated with each other are taken
 * as one there, with the fewest degrees of freedom among them. The effective degrees of freedom are cut to a whole number
 * for the coverage factor (GUM G.4.1), and come from the first-order terms alone.
 *
 * @param inputs the quantities the result depends on, each name once
 * @param model of the measurement; called near the inputs' values
 * @throws RangeError for an uncertainty below zero, a correlation that cannot be, a name given twice or not known, or a
 *   model without a finite result near the inputs
 * @see GUM (JCGM 100:2008): 5.1.2, 5.2.2, 6.2, G.4.1
 */
export const uncertaintyBudget = (
  inputs: readonly BudgetInput[],
  model: Model,
  settings: BudgetSettings = {},
): Budget => {
  checkInputs(inputs)
  const { coverage = { factor: 2 } } = settings
  const correlation = correlationOf(
    inputs.map(input => input.name),
    settings.correlation,
    settings.groups,
  )
  const value = model(inputs.map(input => input.value))
  const lines = inputs.map((input, i): BudgetLine => {
    const sensitivity = input.sensitivity ?? sensitivityTo(inputs, model, i)
    return {
      ...input,
      degreesOfFreedom: input.degreesOfFreedom ?? Number.POSITIVE_INFINITY,
      sensitivity,
      amount: sensitivity * input.standardUncertainty,
    }
  })
  const first = varianceOf(lines, correlation)
  const secondOrder = settings.secondOrder ? productTerms(inputs, model, correlation) : []
  const variance = secondOrder.reduce((sum, term) => sum + term.variance, first)
  if (!(variance >= 0))
    throw new RangeError(
      Number.isNaN(variance)
        ? `the model has no finite result near ${inputs.map(input => `${input.name} = ${input.value}`).join(', ')}`
        : 'the second-order terms outweigh the first: the model bends too much within the uncertainties for this method',
    )
  const standardUncertainty = Math.sqrt(variance)
  const effectiveDegreesOfFreedom = effective(lines, correlation, first)
  const coverageFactor =
    'factor' in coverage ? coverage.factor : studentFactor(coverage.probability, whole(effectiveDegreesOfFreedom))
  return {
    value,
    lines: lines.sort((a, b) => Math.abs(b.amount) - Math.abs(a.amount)),
    secondOrder,
    standardUncertainty,
    effectiveDegreesOfFreedom,
    coverageFactor,
    expandedUncertainty: coverageFactor * standardUncertainty,
  }
}

const checkInputs = (inputs: readonly BudgetInput[]): void => {
  const names = new Set<string>()
  for (const { name, value, standardUncertainty, degreesOfFreedom = Number.POSITIVE_INFINITY } of inputs) {
    if (names.has(name)) throw new RangeError(`two inputs of the budget are called "${name}": give each its own name`)
    names.add(name)
    if (!Number.isFinite(value)) throw new RangeError(`"${name}" has the value ${value}: give a finite one`)
    if (!(standardUncertainty >= 0 && Number.isFinite(standardUncertainty)))
      throw new RangeError(`"${name}" has the standard uncertainty ${standardUncertainty}: give 0 or more`)
    if (!(degreesOfFreedom > 0))
      throw new RangeError(`"${name}" has ${degreesOfFreedom} degrees of freedom: give more than 0, or leave them out`)
  }
}

type Correlation = readonly Float64Array[]

/** Variance that some of the lines make together; rounding below zero counts as zero. */
const varianceOf = (lines: readonly BudgetLine[], correlation: Correlation, of?: readonly number[]): number => {
  const members = of ?? lines.map((_, i) => i)
  let sum = 0
  for (const i of members) for (const j of members) sum += lines[i]!.amount * lines[j]!.amount * correlation[i]![j]!
  return Math.max(0, sum)
}

/** Welch–Satterthwaite, correlated inputs taken as one. */
const effective = (lines: readonly BudgetLine[], correlation: Correlation, variance: number): number => {
  let sum = 0
  for (const kin of kinOf(correlation)) {
    const fewest = Math.min(...kin.map(i => lines[i]!.degreesOfFreedom))
    sum += varianceOf(lines, correlation, kin) ** 2 / fewest
  }
  return sum === 0 ? Number.POSITIVE_INFINITY : variance ** 2 / sum
}

/** GUM G.4.1: cut to the next lower whole number; below one there is none, and it stays as it is. */
const whole = (degreesOfFreedom: number): number =>
  // a hair more, so that 16 − 1e-14 is 16
  degreesOfFreedom < 1 ? degreesOfFreedom : Math.floor(degreesOfFreedom * (1 + 1e-12))
