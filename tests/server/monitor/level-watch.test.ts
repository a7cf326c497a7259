import { describe, expect, it } from 'vitest'
import { LevelWatch, takeStep } from '../../../server/monitor/level-watch.js'
import { SensorRecord } from '../../../server/monitor/sensor-record.js'
import { air, body, sensorEveryMinute } from '../../core/machines.js'

const day = 48

/** Air, and three bodies on it; each day the machine works from six to fourteen. */
const machine = () => {
  const watchOf = (node: typeof air) =>
    new LevelWatch(
      new SensorRecord(sensorEveryMinute(node.id, { kind: 'node', machine: 'mill', node: node.id }), node.kind, node),
    )
  const watches = [watchOf(air), ...['screw', 'column', 'bed'].map(id => watchOf(body(id)))]
  const [reference, ...bodies] = watches
  for (const each of bodies) each.reference = reference!.record
  let step = 0
  return {
    days(count: number, off: (day: number) => Record<string, number>) {
      const end = step + Math.round(count * day)
      for (const from = step; step < end; step++) {
        const offs = off((step - from) / day)
        const hour = (step % day) / 2
        const own = hour >= 6 && hour < 14 ? 1 : 0
        takeStep(watches, step, ({ sensor: { id } }) => {
          const isAir = id === 'air'
          return 20 + 0.5 * Math.sin((2 * Math.PI * hour) / 24) + (isAir ? 0 : own) + (offs[id] ?? 0)
        })
      }
    },
    faults: () => watches.flatMap(({ fault, record }) => (fault ? [`${record.sensor.id} ${fault.kind}`] : [])),
    of: (id: string) => watches.find(({ record }) => record.sensor.id === id)!,
  }
}
const usual = () => ({})

describe('the level of a sensor on its machine', () => {
  it('that drifts by 0.2 K a day is told of it, and nobody else is', () => {
    const { days, faults } = machine()
    days(14, usual)
    days(10, day => ({ column: 0.2 * day }))
    expect(faults()).toEqual(['column strayed'])
  })
  it('is that of the air where it is the air that drifts', () => {
    const { days, faults } = machine()
    days(14, usual)
    days(10, day => ({ air: 0.2 * day }))
    expect(faults()).toEqual(['air strayed'])
  })
  it('stays usual while all of the machine are off together', () => {
    const { days, faults } = machine()
    days(14, usual)
    days(10, () => ({ screw: 3, column: 3, bed: 3 }))
    expect(faults().filter(each => !each.startsWith('air'))).toEqual([])
  })
  it('is doubted no longer once it is back, and never for more than a week', () => {
    const ways: [off: Record<string, number>, days: number][] = [
      [{}, 2],
      [{ bed: -4 }, 7.1],
    ]
    for (const [after, most] of ways) {
      const { days, faults } = machine()
      days(14, usual)
      days(1, () => ({ bed: -4 }))
      expect(faults()).toEqual(['bed strayed'])
      days(most, () => after)
      expect(faults()).toEqual([])
    }
  })
  it('may stray once more where it came back as a temperature does, and not where it did so at once', () => {
    // K off in a third of a day
    const ways: [(part: number) => number, string[]][] = [
      [part => -4 * Math.sin(Math.PI * part) ** 2, []],
      [part => (part > 0.2 && part < 0.8 ? -4 : 0), ['bed strayed']],
    ]
    for (const [off, again] of ways) {
      const { days, faults } = machine()
      days(14, usual)
      days(0.2, day => ({ bed: off(3 * day) }))
      expect(faults()).toEqual(['bed strayed'])
      days(0.3, day => ({ bed: off(Math.min(1, 0.6 + 3 * day)) }))
      expect(faults()).toEqual([])
      days(0.25, day => ({ bed: off(3 * day) }))
      expect(faults()).toEqual(again)
    }
  })
  it('is begun anew when the offset of its sensor was changed', () => {
    const { days, faults, of } = machine()
    days(14, usual)
    days(10, day => ({ column: 0.2 * day }))
    of('column').forget()
    expect(faults()).toEqual([])
    days(10, usual)
    expect(faults()).toEqual([])
  })
  it('goes on being doubted after a restart, from what it rests on', () => {
    const before = machine()
    before.days(14, usual)
    before.days(1, () => ({ bed: -4 }))
    const { fault } = before.of('bed')
    const basis = before.of('bed').basis()
    if (basis?.kind !== 'at odds') throw new Error('nothing rests on anything')
    const after = machine()
    after.of('bed').resume(fault!, 0, basis)
    after.days(1, () => ({ bed: -4 }))
    expect(after.faults()).toEqual(['bed strayed'])
    after.days(1, usual)
    expect(after.faults()).toEqual([])
  })
})
