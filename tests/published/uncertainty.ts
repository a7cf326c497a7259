import { thermalLoop } from '../../core/growth/index.js'
import { assess, coverageOf } from '../../core/judge/index.js'
import { thermalErrorIndex } from '../../core/judge/thermal-error-index.js'
import type { Material } from '../../core/shop.js'
import { machineWith, workClass } from '../core/machines.js'
import type { Check } from './check.js'
import { drawnChecks } from './drawn.js'

const steel: Material = { name: 'steel', alpha: 11.5e-6, alphaUncertainty: 0.1 }
const aluminium: Material = { name: 'aluminium', alpha: 23.1e-6, alphaUncertainty: 0.1 }

/** A part of 100 mm measured at 25 °C by a scale of another metal, both temperatures known to 0.1 K. */
const swyt = () => {
  const scale = { kind: 'scale', material: steel, nodes: { scale: 1 }, fixedAt: 0 } as const
  const machine = machineWith({ nodes: ['scale'], axes: [{ id: 'X', travel: 0.5, workAt: 0, measuring: scale }] })
  const still = {
    temperature: 25,
    steadyTemperature: 25,
    timeConstant: 3600,
    timeConstantUncertainty: 0,
    steadyUncertainty: 0,
  }
  const node = { ...still, placement: 0, ordinaryChange: 0, follows: 0, calibration: 0.1 }
  const part = {
    temperature: 25,
    steadyTemperature: 25,
    timeConstant: 1800,
    uncertainty: 0.1,
    uncertaintySoaked: 0.1,
    slope: 0,
  }
  const outlook = { loop: thermalLoop(machine, 20), nodes: [{ ...node, follows: -1 }, node], part, datum: null }
  return assess(outlook, workClass({ featureLength: 0.1, material: aluminium })).axes[0]!
}

export const uncertaintyChecks = (): Check[] => {
  const away = swyt()
  const arithmetic = 'coefficients of Swyt, J. Res. NIST 99, 31 (1994); value by arithmetic'
  return [
    {
      item: 'aluminium 100 mm by a steel scale at 25 °C: error',
      source: arithmetic,
      unit: 'µm',
      published: -5.8,
      computed: away.error * 1e6,
      allowed: 1e-9,
    },
    {
      item: 'its standard uncertainty (10 % of α, 0.1 K each)',
      source: arithmetic,
      unit: 'µm',
      published: Math.hypot(1.155, 0.575, 0.231, 0.115),
      computed: (away.uncertainty / 2) * 1e6,
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
    {
      item: 'standard uncertainties inside a limit for 95 %, one-sided',
      source: 'guard band of ISO 14253-1:2017 (from memory)',
      unit: '',
      published: 1.65,
      computed: coverageOf(0.95),
      allowed: 0.006,
    },
    {
      // −5.47 V with u = 0.05 V against a limit of −5.40 V conforms with 92 %
      item: 'breakdown voltage of a diode: V inside its limit',
      source: 'JCGM 106:2012, worked example of a one-sided limit (from memory)',
      unit: 'V',
      published: 0.07,
      computed: 0.05 * coverageOf(0.92),
      // 92 % is rounded to whole percents
      allowed: 0.002,
    },
    {
      item: 'guard band of one expanded uncertainty, k = 2: probability of not conforming at its edge',
      source: 'JCGM 106:2012, 8.3 (from memory): 2.3 % at most',
      unit: '',
      published: 2,
      computed: coverageOf(1 - 0.02275),
      allowed: 0.001,
    },
    ...drawnChecks(),
  ]
}
