import { type BudgetInput, type Model, uncertaintyBudget } from '../../core/judge/gum.js'
import { thermalErrorIndex } from '../../core/judge/index.js'
import type { Check } from './check.js'

/** Inputs of the end gauge of the GUM's example H.1, lengths in nm (limits ±1e-6/K and ±0.05 K as rectangles). */
export const endGaugeInputs: BudgetInput[] = [
  { name: 'standard', value: 50.000623e6, standardUncertainty: 25, degreesOfFreedom: 18 },
  { name: 'comparison', value: 215, standardUncertainty: Math.hypot(5.8, 3.9, 6.7), degreesOfFreedom: 25.6 },
  { name: 'expansion', value: 11.5e-6, standardUncertainty: 1.2e-6 },
  { name: 'deviation of the temperature', value: -0.1, standardUncertainty: 0.41 },
  { name: 'difference of expansion', value: 0, standardUncertainty: 1e-6 / Math.sqrt(3), degreesOfFreedom: 50 },
  { name: 'difference of temperature', value: 0, standardUncertainty: 0.05 / Math.sqrt(3), degreesOfFreedom: 2 },
]

/** Its model: l = l_S + d − l_S(δα·θ + α_S·δθ). */
export const endGaugeModel: Model = ([l, d, alpha, theta, deltaAlpha, deltaTheta]) =>
  l! + d! - l! * (deltaAlpha! * theta! + alpha! * deltaTheta!)

const gum: Pick<Check, 'source'> = { source: 'JCGM 100:2008 (GUM), example H.1, second-hand' }
const precise: Pick<Check, 'source'> = { source: 'GUM example H.1, recomputed from its inputs' }

/** Size error and its uncertainty of a part measured away from 20 °C by a scale of another metal. */
const swyt = () =>
  uncertaintyBudget(
    [
      { name: 'expansion of the part', value: 23.1e-6, standardUncertainty: 0.1 * 23.1e-6 },
      { name: 'expansion of the scale', value: 11.5e-6, standardUncertainty: 0.1 * 11.5e-6 },
      { name: 'temperature of the part', value: 25, standardUncertainty: 0.1 },
      { name: 'temperature of the scale', value: 25, standardUncertainty: 0.1 },
    ],
    ([part, scale, partTemperature, scaleTemperature]) =>
      0.1e6 * (part! * (partTemperature! - 20) - scale! * (scaleTemperature! - 20)),
  )

export const uncertaintyChecks = (): Check[] => {
  const h1 = uncertaintyBudget(endGaugeInputs, endGaugeModel, { coverage: { probability: 0.99 } })
  const away = swyt()
  const arithmetic = 'coefficients of Swyt, J. Res. NIST 99, 31 (1994); value by arithmetic'
  return [
    { item: 'end gauge: length', ...gum, unit: 'mm', published: 50.000838, computed: h1.value / 1e6, allowed: 5e-7 },
    {
      item: 'end gauge: standard uncertainty',
      ...gum,
      unit: 'nm',
      published: 32,
      computed: h1.standardUncertainty,
      allowed: 0.5,
    },
    { item: 'the same', ...precise, unit: 'nm', published: 31.664, computed: h1.standardUncertainty, allowed: 0.0005 },
    {
      item: 'effective degrees of freedom',
      ...precise,
      unit: '',
      published: 16.75,
      computed: h1.effectiveDegreesOfFreedom,
      allowed: 0.005,
    },
    {
      item: 'coverage factor for 99 %',
      ...gum,
      unit: '',
      published: 2.92,
      computed: h1.coverageFactor,
      allowed: 0.005,
    },
    { item: 'the same', ...precise, unit: '', published: 2.9208, computed: h1.coverageFactor, allowed: 5e-5 },
    {
      item: 'expanded uncertainty, 99 %',
      ...gum,
      unit: 'nm',
      published: 93,
      computed: h1.expandedUncertainty,
      allowed: 0.6,
    },
    { item: 'the same', ...precise, unit: 'nm', published: 92.48, computed: h1.expandedUncertainty, allowed: 0.01 },
    {
      item: 'aluminium 100 mm by a steel scale at 25 °C: error',
      source: arithmetic,
      unit: 'µm',
      published: 5.8,
      computed: away.value,
      allowed: 1e-9,
    },
    {
      item: 'its standard uncertainty (10 % of α, 0.1 K each)',
      source: arithmetic,
      unit: 'µm',
      published: Math.hypot(1.155, 0.575, 0.231, 0.115),
      computed: away.standardUncertainty,
      allowed: 1e-6,
    },
    {
      item: 'thermal error index, 100 mm, 25 °C, α ± 10 %',
      source: 'form of ASME B89.6.2 from memory; value by arithmetic',
      unit: '%',
      published: 19.61,
      computed: thermalErrorIndex(0.1 * 5 * (23.6e-6 - 11.5e-6), 0.1 * 5 * 0.1 * (23.6e-6 + 11.5e-6) + 2e-6, 50e-6),
      allowed: 0.005,
    },
  ]
}
