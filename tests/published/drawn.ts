import jstat from 'jstat'
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64'
import { mersenne } from 'pure-rand/generator/mersenne'
import { barGrowth, columnDeflection } from '../../core/growth/index.js'
import { type BudgetInput, type Model, uncertaintyBudget } from '../../core/judge/gum.js'
import type { Check } from './check.js'
import { endGaugeInputs, endGaugeModel } from './uncertainty.js'

const { jStat } = jstat

const trials = 200_000

/** Spread and middle of a model's result when its inputs are drawn from normal distributions (JCGM 101, from memory). */
const monteCarlo = (inputs: readonly BudgetInput[], model: Model, seed: number) => {
  const random = mersenne(seed)
  const results = new Float64Array(trials)
  for (let n = 0; n < trials; n++)
    results[n] = model(
      inputs.map(({ value, standardUncertainty }) =>
        standardUncertainty === 0
          ? value
          : jStat.normal.inv(Math.max(uniformFloat64(random), Number.MIN_VALUE), value, standardUncertainty),
      ),
    )
  const middle = results.reduce((sum, each) => sum + each, 0) / trials
  const variance = results.reduce((sum, each) => sum + (each - middle) ** 2, 0) / (trials - 1)
  return { middle, deviation: Math.sqrt(variance) }
}

const propagated = (
  name: string,
  unit: string,
  inputs: readonly BudgetInput[],
  model: Model,
  seed: number,
): Check[] => {
  const budget = uncertaintyBudget(inputs, model, { secondOrder: true })
  const { middle, deviation } = monteCarlo(inputs, model, seed)
  const source = `${trials / 1000},000 draws (JCGM 101), pure-rand and jstat; allowed: four of their standard errors`
  return [
    {
      item: `${name}: value`,
      source,
      unit,
      published: middle,
      computed: budget.value,
      allowed: (4 * deviation) / Math.sqrt(trials),
    },
    {
      item: `${name}: standard uncertainty`,
      source,
      unit,
      published: deviation,
      computed: budget.standardUncertainty,
      allowed: (4 * deviation) / Math.sqrt(2 * trials),
    },
  ]
}

/** The law of propagation of uncertainty against random draws. */
export const drawnChecks = (): Check[] => [
  ...propagated('end gauge (GUM H.1), second order', 'nm', endGaugeInputs, endGaugeModel, 1),
  ...propagated(
    'screw 0.5 m, 3 K, growth',
    'µm',
    [
      { name: 'expansion', value: 11.5, standardUncertainty: 0.6 },
      { name: 'rise', value: 3, standardUncertainty: 0.2 },
    ],
    ([alpha, rise]) => barGrowth(0.5, alpha! * 1e-6, rise!) * 1e6,
    2,
  ),
  ...propagated(
    'column 0.7 m, 0.5 K front to rear, deflection',
    'µm',
    [
      { name: 'expansion', value: 11.4, standardUncertainty: 0.6 },
      { name: 'front', value: 21.5, standardUncertainty: 0.1 },
      { name: 'rear', value: 21.0, standardUncertainty: 0.1 },
    ],
    ([alpha, front, rear]) => columnDeflection(alpha! * 1e-6, front! - rear!, 0.7, 0.35) * 1e6,
    3,
  ),
]
