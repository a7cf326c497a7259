import { describe, expect, it } from 'vitest'
import type { Machine, Sensor, Shop } from '../../../core/shop.js'
import { createMonitor } from '../../../server/monitor/index.js'
import { body, machineWith, screwAxis, sensorEveryMinute, workClass } from '../../core/machines.js'

const start = Date.UTC(2026, 0, 12, 6)
const minute = 60_000

const sensor = (node: string): Sensor => sensorEveryMinute(node, { kind: 'node', machine: 'mill', node })

const plain = screwAxis('X', 'screw', { travel: 0.5, workAt: 0.25, fixedAt: -0.08 })
const onBed: Machine = {
  ...machineWith({
    nodes: ['screw'],
    axes: [
      {
        ...plain,
        measuring: {
          ...plain.measuring,
          kind: 'screw',
          mounting: { kind: 'one end fixed', bearingOn: { bed: 1 } },
        },
      },
    ],
  }),
}

/** A mill with a bed that no sensor is on, and its readings minute by minute. */
const running = (bed: Partial<Machine['nodes'][number]> = {}, sensors = ['air', 'screw']) => {
  const machine = { ...onBed, nodes: [...onBed.nodes, { ...body('bed', 14_400), required: false, ...bed }] }
  const shop: Shop = {
    name: 'invented',
    timeZone: 'UTC',
    referenceTemperature: 20,
    invented: true,
    machines: [machine],
    sensors: sensors.map(sensor),
    sources: [],
    workClasses: [workClass()],
  }
  const monitor = createMonitor({ shop })
  let now = start
  const minutes = (count: number, values: Record<string, number> | ((i: number) => Record<string, number>)) => {
    for (let i = 0; i < count; i++) {
      now += minute
      const of = typeof values === 'function' ? values(i) : values
      monitor.take(Object.entries(of).map(([id, value]) => ({ sensor: id, at: now, value, receivedAt: now })))
      monitor.advance(now)
    }
  }
  const state = () => monitor.machine('mill')!
  const node = (id: string) => state().nodes.find(n => n.node === id)!
  return { minutes, state, node }
}

describe('a body without a sensor that no verdict needs', () => {
  it('begins at the air and follows it with its own time constant', () => {
    const run = running()
    run.minutes(60, { air: 20, screw: 20 })
    expect(run.node('bed').temperature).toBeCloseTo(20, 2)
    // the screw has an hour's time constant and follows as it should: it tells nothing of its own
    run.minutes(240, i => ({ air: 24, screw: 24 - 4 * Math.exp(-i / 60) }))
    // 63.2 % of the step after its time constant of 4 h; the air's level takes a reading or two to follow
    expect(run.node('bed').temperature).toBeCloseTo(20 + 4 * 0.632, 1)
    expect(run.node('bed').timeConstant).toBe(14_400)
  })

  it('holds the screw back where it carries its bearing', () => {
    const run = running()
    run.minutes(60, { air: 20, screw: 20 })
    // the air and, behind it, the screw get warmer by 2 K in an hour
    run.minutes(60, i => ({ air: 20 + i / 30, screw: 20 + Math.max(0, i - 30) / 30 }))
    const held = run.state().growth[0]!.atWork!
    expect(held).toBeGreaterThan(0)
    expect(held).toBeLessThan(0.8 * 11.5e-6 * 0.33 * (run.node('screw').temperature! - 20))
    expect(run.node('bed').temperature).toBeLessThan(20.5)
  })

  it('makes the drift less certain, and is no reason by itself', () => {
    const run = running()
    run.minutes(200, { air: 20, screw: 20 })
    const [shown] = run.state().classes
    expect(shown!.verdict).toBe('fit')
    expect(shown!.reasons).toEqual([])
    // nobody knows how far on its way to the air a bed without a sensor has come
    const headingOf = (of: typeof run) =>
      of.state().classes[0]!.axes[0]!.budget.find(c => c.name === 'where the nodes are heading')!.standardUncertainty
    const measured = running({}, ['air', 'screw', 'bed'])
    measured.minutes(200, { air: 20, screw: 20, bed: 20 })
    expect(headingOf(run)).toBeGreaterThan(headingOf(measured))
  })

  it('is not predicted where a stand-in is given or a verdict needs it', () => {
    const covered = running({ standIn: { node: 'screw', uncertainty: 0.8 } })
    covered.minutes(60, { air: 20, screw: 20 })
    covered.minutes(60, { air: 24, screw: 22 })
    expect(covered.node('bed').temperature).toBeCloseTo(covered.node('screw').temperature!, 9)
    const needed = running({ required: true })
    needed.minutes(60, { air: 20, screw: 20 })
    expect(needed.state().classes[0]!.verdict).toBe('unknown')
    expect(needed.state().classes[0]!.reasons[0]).toEqual({
      kind: 'missing',
      node: 'bed',
      name: 'bed',
      why: { kind: 'no sensor' },
    })
  })
})
