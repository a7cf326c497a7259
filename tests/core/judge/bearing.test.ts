import { describe, expect, it } from 'vitest'
import { heldLength } from '../../../core/growth/bearing.js'
import { thermalLoop } from '../../../core/growth/index.js'
import { assess, type Outlook } from '../../../core/judge/index.js'
import type { Axis, Screw } from '../../../core/shop.js'
import { machineWith, screwAxis, steel, workClass } from '../machines.js'

const plain = screwAxis('X', 'screw', { workAt: 0.3 })
const onBed: Axis = {
  ...plain,
  measuring: { ...(plain.measuring as Screw), mounting: { kind: 'one end fixed', bearingOn: { bed: 1 } } },
}

/** A screw that heads 2 K up, on a bed that stays as it is. */
const outlook = (axis: Axis): Outlook => {
  const known = { timeConstantUncertainty: 0, calibration: 0, placement: 0, ordinaryChange: 0 }
  const still = { ...known, steadyUncertainty: 0, temperature: 20, steadyTemperature: 20 }
  return {
    loop: thermalLoop(machineWith({ nodes: ['screw', 'bed'], axes: [axis] }), 20),
    nodes: [
      { ...still, timeConstant: Number.POSITIVE_INFINITY, follows: -1 },
      { ...still, steadyTemperature: 22, steadyUncertainty: 0.5, timeConstant: 3600, follows: 0 },
      { ...still, timeConstant: 14_400, follows: 0 },
    ],
    part: {
      temperature: 20,
      steadyTemperature: 20,
      timeConstant: 1800,
      uncertainty: 0.3,
      uncertaintySoaked: 0.3,
      slope: 0,
    },
    datum: null,
  }
}

describe('the budget of a screw that its bearing holds', () => {
  const job = workClass({ duration: 3600 })
  const lineOf = (axis: Axis, name: string) =>
    assess(outlook(axis), job).axes[0]!.budget.find(line => line.name === name)?.standardUncertainty
  const settled = 1 - Math.exp(-1)

  it('counts what has just begun as if the bearing held nothing of it back', () => {
    const free = steel.alpha * 0.3 * settled * 0.5
    expect(lineOf(onBed, 'where the nodes are heading')).toBeCloseTo(free, 12)
    expect(lineOf(plain, 'where the nodes are heading')).toBeCloseTo(free, 12)
  })
  it('holds the drift back by a part that may be none of it', () => {
    // fin length √(aτ); the screw beyond the work is warmer than at the nut by 1 / (1 − e^(−x/l))
    const length = Math.sqrt(12.2e-6 * 3600)
    const beyond = (2 * settled) / (1 - Math.exp(-0.3 / length))
    const heldBack = steel.alpha * (0.3 * 2 * settled - (0.3 - heldLength(0.3, length)) * beyond)
    expect(lineOf(onBed, 'how far the bearing holds the screw')).toBeCloseTo(heldBack / Math.sqrt(3), 12)
    expect(lineOf(plain, 'how far the bearing holds the screw')).toBeUndefined()
  })
})
