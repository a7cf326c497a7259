import { expect, it } from 'vitest'
import { thermalLoop } from '../../../core/growth/index.js'
import { lookingAhead, type Outlook, withSources } from '../../../core/judge/index.js'
import { whole } from '../../whole.js'
import { machineWith, screwAxis } from '../machines.js'

const machine = machineWith({ nodes: ['screw'], axes: [screwAxis('X', 'screw')] })
const hour = 3600
const step = 300

/** air and a screw of one hour that were heading nowhere, as their past tells */
const still = (): Outlook => {
  const course = () => ({ change: new Float64Array(49), spread: new Float64Array(49).fill(0.3) })
  const node = {
    ...{ temperature: 18, steadyTemperature: 18, timeConstantUncertainty: 0.2, steadyUncertainty: 0.1 },
    ...{ calibration: 0.05, placement: 0.1, ordinaryChange: 0.1, hasLearned: true, course },
  }
  return {
    loop: thermalLoop(machine, 20),
    nodes: [
      { ...node, timeConstant: Number.POSITIVE_INFINITY, follows: -1 },
      { ...node, timeConstant: hour, follows: 0 },
    ],
    part: {
      ...{ temperature: 18, steadyTemperature: 18, timeConstant: 1800 },
      ...{ uncertainty: 0.2, uncertaintySoaked: 0.2, slope: 0 },
    },
    datum: null,
  }
}

/** the air becomes two kelvin warmer in an hour from now, at once */
const warmer = {
  step,
  nodes: [
    {
      node: machine.nodes[0]!.id,
      temperature: Array.from({ length: 288 }, (_, k) => (k < 12 ? 18 : 20)),
      standardUncertainty: Array.from({ length: 288 }, (_, k) => (k < 12 ? 0 : 0.4)),
    },
  ],
}

it('air goes as is told when sources change, and reaches a body first order', () => {
  const { nodes, axes } = whole(lookingAhead(withSources(still(), warmer), [], 6 * hour, 7))
  const [air, screw] = nodes
  expect(air!.mean[1]).toBeCloseTo(18, 6)
  expect(air!.mean[2]).toBeCloseTo(20, 6)
  const reached = (hours: number) => 18 + 2 * (1 - Math.exp(-hours))
  expect(screw!.mean[1]).toBeCloseTo(18, 6)
  // means over five minutes stand at their end
  for (const hours of [2, 4, 6]) expect(Math.abs(screw!.mean[hours]! - reached(hours - 1))).toBeLessThan(0.04)
  expect(axes[0]!.mean[6]).toBeGreaterThan(axes[0]!.mean[1]!)
  // 0.3 K of its own and 0.4 K of the source
  expect(air!.standardUncertainty[1]).toBeCloseTo(0.3, 6)
  expect(air!.standardUncertainty[2]).toBeCloseTo(0.5, 6)
})

it('without a change that reaches it, a machine goes as it was', () => {
  const of = (outlook: Outlook) => whole(lookingAhead(outlook, [], 6 * hour, 7))
  expect(of(withSources(still(), { step, nodes: [] }))).toEqual(of(still()))
})
