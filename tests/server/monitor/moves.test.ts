import { expect, it } from 'vitest'
import type { Machine, Shop } from '../../../core/shop.js'
import { createMonitor } from '../../../server/monitor/index.js'
import type { MonitorChange } from '../../../server/monitor/monitor.js'
import { machineWith, screwAxis, sensorEveryMinute, workClass } from '../../core/machines.js'

const start = Date.UTC(2026, 0, 12, 6)
const mill = (id: string, over: Partial<Machine> = {}): Machine => ({
  ...machineWith({ nodes: ['screw'], axes: [screwAxis('X', 'screw')] }),
  id,
  name: id.toUpperCase(),
  ...over,
})

/** Machines whose screws a test says minute by minute, all in the same air. */
const running = (machines: Machine[]) => {
  const shop: Shop = {
    name: 'invented',
    timeZone: 'UTC',
    referenceTemperature: 20,
    invented: true,
    machines,
    sensors: machines.flatMap(({ id }) =>
      ['air', 'screw'].map(node => sensorEveryMinute(`${id}-${node}`, { kind: 'node', machine: id, node })),
    ),
    sources: [],
    workClasses: [workClass()],
  }
  const monitor = createMonitor({ shop })
  const changes: MonitorChange[] = []
  monitor.onChange(change => changes.push(change))
  let now = start
  const minutes = (count: number, screws: Record<string, number | undefined>) => {
    for (let i = 0; i < count; i++) {
      now += 60_000
      for (const { id } of machines) {
        const screw = screws[id]
        monitor.take([{ sensor: `${id}-air`, at: now, value: 20.1, receivedAt: now }])
        if (screw !== undefined) monitor.take([{ sensor: `${id}-screw`, at: now, value: screw, receivedAt: now }])
      }
      monitor.advance(now)
    }
  }
  return { minutes, state: (id: string) => monitor.machine(id)!.classes[0]!, changes }
}

it('work is to be taken to a machine that is fit, as long as it is', () => {
  const run = running([mill('a'), mill('b')])
  run.minutes(70, { a: 24, b: 20.1 })
  expect(run.state('b')).toMatchObject({ verdict: 'fit', remedy: null })
  expect(run.state('a').verdict).not.toBe('fit')
  expect(run.state('a').remedy).toEqual({ kind: 'move', machine: 'b', name: 'B' })
  // once the other is fit no more, nobody is sent there, and pages hear of it with that very change
  run.minutes(12, { a: 24, b: 24 })
  expect(run.state('b').verdict).not.toBe('fit')
  const lost = run.changes.find(({ verdicts }) =>
    verdicts.some(v => v.machine === 'b' && v.verdict !== 'fit' && v.at > start + 70 * 60_000),
  )!
  expect(lost.machines.find(({ machine }) => machine === 'a')!.classes[0]!.remedy?.kind).not.toBe('move')
})

it('but not to one of another kind or with other axes, nor where a sensor is to be looked after first', () => {
  const run = running([mill('a', { kind: 'lathe' }), mill('b'), mill('c', { axes: [screwAxis('Y', 'screw')] })])
  run.minutes(70, { a: 24, b: 20.1, c: 24 })
  expect(run.state('b').verdict).toBe('fit')
  for (const id of ['a', 'c']) expect(run.state(id).remedy?.kind).not.toBe('move')
  const beside = running([mill('a'), mill('b')])
  beside.minutes(70, { b: 20.1 })
  expect(beside.state('b').verdict).toBe('fit')
  expect(beside.state('a')).toMatchObject({
    verdict: 'unknown',
    remedy: { kind: 'sensor', missing: { node: 'screw' }, others: 0 },
  })
})
