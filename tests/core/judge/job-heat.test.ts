import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { assess, type Outlook } from '../../../core/judge/index.js'
import { sensitivities } from '../../../core/judge/uncertainty.js'
import { evenly } from '../../evenly.js'
import { workClass as classOf } from '../machines.js'
import { onScrew } from './jobs.js'

const workClass = classOf()
const screwAt = onScrew.loop.machine.nodes.findIndex(({ id }) => id === 'screw')

/** The screw settles `going` K from where it is, and a job adds `rise` to that. */
const heated = (going: number, rise: number, uncertainty: number): Outlook => ({
  ...onScrew,
  nodes: onScrew.nodes.map((node, i) =>
    i === screwAt ? { ...node, steadyTemperature: node.temperature + going, jobHeat: { rise, uncertainty } } : node,
  ),
})

describe('the own heat of a job', () => {
  const { timeConstant } = onScrew.nodes[screwAt]!
  const reached = 1 - Math.exp(-workClass.duration / timeConstant)

  it('drifts the axis as a first-order body with another balance would, by the larger of a warm job and a cold one', () => {
    fc.assert(
      fc.property(evenly(-2, 2), evenly(0, 3), (going, rise) => {
        const [axis] = assess(heated(going, rise, 0), workClass).axes
        const [slope] = onScrew.loop.axes.map(of => sensitivities(onScrew, of, workClass).position[screwAt]!)
        const largest = Math.max(Math.abs(going), Math.abs(going + rise))
        expect(Math.abs(axis!.drift)).toBeCloseTo(Math.abs(slope!) * largest * reached, 10)
      }),
    )
  })

  it('has a line of its own in the budget, which grows with what is not known of it', () => {
    fc.assert(
      fc.property(evenly(0.05, 2), uncertainty => {
        const [axis] = assess(heated(0, 1, uncertainty), workClass).axes
        const line = axis!.budget.find(({ name }) => name === 'own heat of the job')!
        const slope = sensitivities(onScrew, onScrew.loop.axes[0]!, workClass).begun[screwAt]!
        expect(line.standardUncertainty).toBeCloseTo(Math.abs(slope) * reached * uncertainty, 12)
      }),
    )
    expect(assess(onScrew, workClass).axes[0]!.budget.some(({ name }) => name === 'own heat of the job')).toBe(false)
  })
})
