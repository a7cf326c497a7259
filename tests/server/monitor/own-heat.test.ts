import { describe, expect, it } from 'vitest'
import type { WorkClass } from '../../../core/shop.js'
import { createMonitor } from '../../../server/monitor/index.js'
import { body, machineWith, screwAxis, sensorEveryMinute, workClass } from '../../core/machines.js'

const minute = 60_000
const start = Date.UTC(2026, 0, 12)
const timeConstant = 2400
const axis = screwAxis('X', 'screw', { workAt: 0.3 })

/** A mill at rest in still air for the last hour of `days`, whose work from 8 to 11 and 13 to 16 adds 2 K to its screw. */
const lived = (days: number, of: Partial<WorkClass>) => {
  const machine = machineWith({ nodes: ['screw'], axes: [axis] })
  const monitor = createMonitor({
    shop: {
      name: 'invented',
      timeZone: 'UTC',
      referenceTemperature: 20,
      invented: true,
      machines: [{ ...machine, nodes: [machine.nodes[0]!, body('screw', timeConstant)] }],
      sensors: ['air', 'screw'].map(node => sensorEveryMinute(node, { kind: 'node', machine: machine.id, node })),
      sources: [],
      workClasses: [workClass(of)],
    },
  })
  monitor.setFilling(0, 60)
  let screw = 20
  for (let m = 1; m <= days * 1440; m++) {
    const now = start + m * minute
    const hour = (m / 60) % 24
    const works = (hour >= 8 && hour < 11) || (hour >= 13 && hour < 16)
    screw += (60 / timeConstant) * (20 + (works ? 2 : 0) - screw)
    const value = (id: string, at: number) => ({ sensor: id, at: now, value: at, receivedAt: now })
    monitor.take([value('air', 20), value('screw', screw)])
    if (m % 60 === 0) monitor.advance(now)
  }
  return monitor.machine(machine.id)!.classes[0]!.axes[0]!
}

describe('the own heat of a job', () => {
  const duration = 1800
  const line = 'own heat of the job'
  /** m; growth at the work when half an hour of a balance that is 2 K higher has passed, first order */
  const alpha = axis.measuring.material.alpha
  const expected = alpha * axis.workAt * 2 * (1 - Math.exp(-duration / timeConstant))

  it('counts where the work class says so, as much as the machine’s work has added in the last days', () => {
    const ordinary = lived(3, { duration, ownHeat: 'ordinary' })
    expect(ordinary.drift / expected).toBeGreaterThan(0.9)
    expect(ordinary.drift / expected).toBeLessThan(1.1)
    expect(ordinary.budget.some(({ name }) => name === line)).toBe(true)
    const heavy = lived(3, { duration, ownHeat: 'heavy' })
    expect(heavy.drift / ordinary.drift).toBeCloseTo(1.5, 1)
    expect(heavy.uncertainty).toBeGreaterThan(ordinary.uncertainty)
  })

  it('counts as usual where the work class says nothing, once work has been seen', () => {
    expect(lived(3, { duration })).toEqual(lived(3, { duration, ownHeat: 'ordinary' }))
    const unseen = lived(0.25, { duration })
    expect(Math.abs(unseen.drift)).toBeLessThan(expected / 20)
    expect(unseen.budget.some(({ name }) => name === line)).toBe(false)
    expect(lived(0.25, { duration, ownHeat: 'ordinary' }).budget.some(({ name }) => name === line)).toBe(true)
  })

  it('does not count before it shows where the work class says so', () => {
    const axisJob = lived(3, { duration, ownHeat: 'when it shows' })
    expect(Math.abs(axisJob.drift)).toBeLessThan(expected / 20)
    expect(axisJob.budget.some(({ name }) => name === line)).toBe(false)
  })
})
