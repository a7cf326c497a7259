import { describe, expect, it } from 'vitest'
import { thermalLoop } from '../../../core/growth/index.js'
import type { Outlook } from '../../../core/judge/index.js'
import type { Circumstances } from '../../../server/monitor/circumstances.js'
import { ClassWatch } from '../../../server/monitor/class-watch.js'
import { machineWith, partAt20, screwAxis, workClass } from '../../core/machines.js'

const minute = 60_000
const loop = thermalLoop(machineWith({ nodes: ['screw'], axes: [screwAxis('X', 'screw')] }), 20)

/** A machine whose screw is on its way to a temperature, and how well that is known, K. */
const outlook = (heading: number, steadyUncertainty: number): Outlook => {
  const known = { timeConstantUncertainty: 0.1, calibration: 0.05, placement: 0.1, ordinaryChange: 0.05 }
  const at20 = { ...known, temperature: 20 }
  return {
    loop,
    coverage: 2,
    nodes: [
      { ...at20, steadyTemperature: 20, timeConstant: Number.POSITIVE_INFINITY, steadyUncertainty: 0, follows: -1 },
      {
        ...at20,
        steadyTemperature: heading,
        timeConstant: 3600,
        ...{ steadyUncertainty, usualSteadyUncertainty: 0.1, follows: 0 },
      },
    ],
    part: partAt20,
    datum: null,
  }
}
const circumstances = (of: Outlook): Circumstances => ({
  outlook: of,
  unknowns: [],
  standIns: [],
  disturbance: null,
  open: null,
  airChange: () => 0.1,
  overdue: new Map(),
  datumAt: null,
  stateBefore: () => ({ nodes: new Float64Array([20, 20]), part: 20 }),
})

describe('a fit machine', () => {
  /** verdicts minute by minute: a quarter of an hour at rest, then as given */
  const shown = (minutes: number, of: Outlook) => {
    const watch = new ClassWatch(workClass(), { past: { since: null, late: [], kept: [] } })
    for (let i = 0; i < 15; i++) watch.evaluate(circumstances(outlook(20, 0.1)), i * minute)
    expect(watch.shown?.verdict).toBe('fit')
    return Array.from({ length: minutes }, (_, i) => watch.evaluate(circumstances(of), (15 + i) * minute))
  }

  it('stays so while it is doubted for the first minutes where its screw is heading, by what usually is known', () => {
    const states = shown(12, outlook(20, 4))
    expect(states.map(({ verdict }) => verdict)).toEqual([...Array(10).fill('fit'), 'settling', 'settling'])
    const share = 100 * workClass().share
    for (const { verdict, counted, thermalErrorIndex } of states) {
      expect(counted! <= share).toBe(verdict === 'fit')
      // the index tells of the doubt at once
      expect(thermalErrorIndex).toBeGreaterThan(share)
    }
  })
  it('does not where the error itself has grown', () => {
    expect(shown(1, outlook(24, 4))[0]!.verdict).not.toBe('fit')
  })
})

describe('a machine whose error comes and goes', () => {
  it('is not fit where it is within the share but would soon be beyond it again, and says so; fit once that has calmed', () => {
    const watch = new ClassWatch(workClass(), { past: { since: null, late: [], kept: [] } })
    const share = 100 * workClass().share
    const at = (i: number, heading: number) => watch.evaluate(circumstances(outlook(heading, 0.1)), i * minute)
    // still at 20 °C, but for half of each two hours on its way to where it is over
    let i = 0
    for (; i < 1200; i++) at(i, i % 120 < 60 ? 20 : 24)
    const said = Array.from({ length: 60 }, () => at(i++, 22.5))
    const last = said.at(-1)!
    expect(last.thermalErrorIndex).toBeLessThan(share)
    expect(last.verdict).not.toBe('fit')
    const reason = last.reasons[0]
    expect(reason).toMatchObject({ kind: 'restless' })
    if (reason?.kind === 'restless') expect(reason.left).toBeLessThan(reason.room)
    // the hour above is part of the night that shows it
    const later = Array.from({ length: 500 }, () => at(i++, 22.5).verdict)
    expect(later.at(-1)).toBe('fit')
    expect(later.indexOf('fit')).toBeGreaterThan(400)
  })
})
