import { describe, expect, it } from 'vitest'
import { thermalLoop } from '../../../core/growth/index.js'
import { lookingAhead, type Outlook, readyTime, underPlan } from '../../../core/judge/index.js'
import { plannedAir, stateOn, trajectoryUnder } from '../../../core/judge/plan.js'
import { temperatureAfter } from '../../../core/settling/index.js'
import { whole } from '../../whole.js'
import { machineWith, screwAxis, workClass } from '../machines.js'

const machine = machineWith({ nodes: ['screw'], axes: [screwAxis('X', 'screw')] })
const loop = thermalLoop(machine, 20)
const hour = 3600

const outlook = (screw: number, air: number): Outlook => {
  const common = {
    timeConstantUncertainty: 0.2,
    steadyUncertainty: 0.1,
    calibration: 0.05,
    placement: 0.1,
    ordinaryChange: 0.1,
  }
  return {
    loop,
    nodes: [
      { ...common, temperature: air, steadyTemperature: air, timeConstant: Number.POSITIVE_INFINITY, follows: -1 },
      { ...common, temperature: screw, steadyTemperature: air, timeConstant: hour, follows: 0 },
    ],
    part: {
      temperature: air,
      steadyTemperature: air,
      timeConstant: 1800,
      uncertainty: 0.2,
      uncertaintySoaked: 0.2,
      slope: 0,
    },
    datum: null,
  }
}

describe('air under a plan', () => {
  it('waits for the change, then approaches it first order', () => {
    const air = plannedAir(17, [{ at: hour, temperature: 20, timeConstant: 1800 }], 24)
    expect(air[12]).toBe(17)
    expect(air[12 + 6]).toBeCloseTo(temperatureAfter(17, 20, 1800, 1800), 9)
  })
  it('takes changes in order of time, whatever the order they are given in', () => {
    const plan = [
      { at: 2 * hour, temperature: 15, timeConstant: 600 },
      { at: hour, temperature: 20, timeConstant: 600 },
    ]
    expect([...plannedAir(17, plan, 60)]).toEqual([...plannedAir(17, [...plan].reverse(), 60)])
  })
})

describe('trajectory of a body', () => {
  it('is the closed form when conditions hold', () => {
    const trajectory = trajectoryUnder(outlook(23, 20), [], 4 * hour)
    expect(stateOn(trajectory, 2 * hour).nodes[1]).toBeCloseTo(temperatureAfter(23, 20, hour, 2 * hour), 9)
  })
  it('is the closed form of a body in air that approaches a new level', () => {
    // dT/dt = (A − T)/τ with A = A1 + (A0 − A1)·e^(−t/τa):
    // T = A1 + (A0 − A1)·τa/(τa − τ)·e^(−t/τa) + C·e^(−t/τ)
    const [a0, a1, tauAir, tau] = [17, 20, 1800, hour]
    const k = ((a0 - a1) * tauAir) / (tauAir - tau)
    const exact = (t: number) => a1 + k * Math.exp(-t / tauAir) + (17 - a1 - k) * Math.exp(-t / tau)
    const plan = [{ at: 0, temperature: a1, timeConstant: tauAir }]
    const trajectory = trajectoryUnder(outlook(17, 17), plan, 6 * hour)
    for (const t of [hour, 2 * hour, 4 * hour]) expect(stateOn(trajectory, t).nodes[1]).toBeCloseTo(exact(t), 1)
  })
})

describe('forecast', () => {
  it('is surest now and less sure where the node is moving', () => {
    const { nodes, axes, times } = whole(lookingAhead(outlook(24, 20), [], 6 * hour, 25))
    expect(times[0]).toBe(0)
    expect(times.at(-1)).toBe(6 * hour)
    expect(nodes[1]!.standardUncertainty[4]!).toBeGreaterThan(nodes[1]!.standardUncertainty[0]!)
    expect(axes[0]!.standardUncertainty[0]).toBe(0)
    expect(axes[0]!.mean[0]).toBeCloseTo(0.25 * 11.5e-6 * 4, 12)
  })
  it('counts air that several nodes share as one cause', () => {
    const two = machineWith({
      nodes: ['a', 'b'],
      axes: [
        {
          ...screwAxis('X', 'a'),
          measuring: { ...screwAxis('X', 'a').measuring, nodes: { a: 0.5, b: 0.5 } },
        },
      ],
    })
    const one = outlook(20, 20)
    const sure = { ...one.nodes[1]!, steadyUncertainty: 0, timeConstantUncertainty: 0 }
    const both: Outlook = { ...one, loop: thermalLoop(two, 20), nodes: [one.nodes[0]!, sure, sure] }
    const alone: Outlook = { ...one, nodes: [one.nodes[0]!, sure] }
    const last = (of: Outlook) => whole(lookingAhead(of, [], 6 * hour, 10)).axes[0]!.standardUncertainty.at(-1)!
    expect(last(both)).toBeCloseTo(last(alone), 12)
  })
})

describe('ready time under a plan', () => {
  it('comes when the heating does, and not at all without it', () => {
    // aluminium at 15 °C on a steel screw is out by 7 µm; at 20 °C it is true
    const cold = outlook(15, 15)
    expect(readyTime(cold, workClass(), 26).ready).toBeNull()
    const plan = [{ at: 5 * hour, temperature: 20, timeConstant: 1800 }]
    const { ready } = readyTime(underPlan(cold, plan), workClass(), 26)
    expect(ready!.likely).toBeGreaterThan(5 * hour)
    expect(ready!.latest).toBeLessThan(12 * hour)
    expect(ready!.earliest).toBeLessThanOrEqual(ready!.likely)
    expect(ready!.likely).toBeLessThanOrEqual(ready!.latest)
  })
})
