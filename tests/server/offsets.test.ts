import { expect, it } from 'vitest'
import { movesWithOffsets } from '../../core/settling/index.js'
import type { Datum, OffsetChange } from '../../core/state.js'
import { createMonitor } from '../../server/monitor/index.js'
import { datumWithOffsets, withOffsetsInForce } from '../../server/offsets.js'
import { openStore } from '../../server/store/sqlite.js'
import { demoShop } from '../demo-shop.js'
import { temporaryFolder } from '../temporary-folder.js'

const start = Date.UTC(2026, 0, 14, 6)
const sensor = 'mill-1-x-screw'
const change = (newOffset: number, more: Partial<OffsetChange> = {}): Omit<OffsetChange, 'id'> => ({
  sensor,
  at: start,
  by: 'Ada',
  note: 'in the box',
  oldOffset: 0,
  newOffset,
  found: { from: start - 7_200_000, to: start, difference: -newOffset, standardUncertainty: 0.004, sensors: 6 },
  takesBack: null,
  ...more,
})

it('keeps accepted offsets in the database, and puts them in force at a start in place of the file’s', async () => {
  const folder = temporaryFolder()
  const store = openStore(folder)
  const [first, second] = await store.facts.record('offset', [change(-0.3), change(0.1, { sensor: 'mill-1-air' })])
  store.close()
  const again = openStore(folder)
  expect(await again.facts.of('offset')).toEqual([first, second])
  const file = demoShop()
  const offsetOf = (shop: typeof file, id = sensor) => shop.sensors.find(s => s.id === id)!.offset
  const before = offsetOf(file)
  const shop = await withOffsetsInForce(file, again)
  expect([offsetOf(shop), offsetOf(shop, 'mill-1-air')]).toEqual([-0.3, 0.1])
  expect(offsetOf(file)).toBe(before)
  await again.facts.record('offset', [change(before, { oldOffset: -0.3, found: null, takesBack: first!.id })])
  expect(offsetOf(await withOffsetsInForce(file, again))).toBe(before)
  again.close()
})

const fiveNodes = ['x-screw', 'y-screw', 'z-screw', 'column', 'head', 'air']
const followed = (offset: number, of = sensor) => {
  const file = demoShop()
  const shop = { ...file, sensors: file.sensors.map(s => ({ ...s, ...(s.id === of && { offset }) })) }
  const monitor = createMonitor({ shop })
  // readings come twice a minute here, whatever the sensors' own intervals
  monitor.setFilling(0, 60)
  const live = (from: number, to: number) => {
    for (let at = from; at < to; at += 30_000) {
      monitor.take(
        fiveNodes.map((node, i) => ({
          sensor: `mill-1-${node}`,
          at,
          value: 20 + i / 10 + Math.sin(at / 3_000_000),
          receivedAt: at,
        })),
      )
      monitor.advance(at)
    }
  }
  const state = () => {
    const { nodes, growth } = monitor.machine('mill-1')!
    const shown = monitor.sensors().find(s => s.sensor === sensor)!.value!
    const bed = nodes.find(n => n.node === 'bed')!
    return { shown, node: nodes.find(n => n.node === 'x-screw')!, bed, x: growth.find(g => g.axis === 'X')! }
  }
  return { monitor, live, state }
}

it('moves what is followed at once, and neither drift nor rate takes it for a change of temperature', () => {
  const hours = 3_600_000
  const middle = start + 4 * hours
  const end = middle + hours / 2
  const [corrected, untouched] = [followed(0), followed(0)].map(each => {
    each.live(start, middle)
    each.monitor.setDatum({ id: 1, by: 'Ada', note: '', ...each.monitor.datumNow('mill-1') })
    each.live(middle, middle + 60_000)
    return each
  }) as [ReturnType<typeof followed>, ReturnType<typeof followed>]
  corrected.monitor.setOffset(sensor, 0.5)
  for (const { monitor } of [corrected, untouched]) monitor.advance(middle + 61_000)
  const [now, otherwise] = [corrected.state(), untouched.state()]
  expect(now.shown - otherwise.shown).toBeCloseTo(0.5, 9)
  expect(now.node.temperature! - otherwise.node.temperature!).toBeCloseTo(0.5, 9)
  expect(now.node.rate).toBeCloseTo(otherwise.node.rate!, 9)
  expect(now.x.sinceDatum).toBeCloseTo(otherwise.x.sinceDatum!, 15)
  expect(now.x.atWork! - otherwise.x.atWork!).toBeGreaterThan(1e-6)

  // and it goes on as if the offset had been so from the beginning
  corrected.live(middle + 90_000, end)
  const always = followed(0.5)
  always.live(start, end)
  expect(corrected.state().node.temperature!).toBeCloseTo(always.state().node.temperature!, 3)
  expect(corrected.state().x.atWork!).toBeCloseTo(always.state().x.atWork!, 8)
})

it('moves a body that no sensor is on with what it is predicted from, and its datum with it', () => {
  const air = 'mill-1-air'
  const middle = start + 4 * 3_600_000
  const [corrected, untouched] = [followed(0), followed(0)]
  for (const { monitor, live } of [corrected, untouched]) {
    live(start, middle)
    monitor.setDatum({ id: 1, by: 'Ada', note: '', ...monitor.datumNow('mill-1') })
    live(middle, middle + 60_000)
  }
  corrected.monitor.setOffset(air, 0.5)
  for (const { monitor } of [corrected, untouched]) monitor.advance(middle + 61_000)
  // by less than the air: that its sensor read too little has shown in the bodies beside the bed, which seemed too warm
  const moved = corrected.state().bed.temperature! - untouched.state().bed.temperature!
  expect(moved).toBeGreaterThan(0.05)
  expect(moved).toBeLessThan(0.45)
  expect(corrected.state().x.sinceDatum).toBeCloseTo(untouched.state().x.sinceDatum!, 15)

  const always = followed(0.5, air)
  corrected.live(middle + 90_000, middle + 1_800_000)
  always.live(start, middle + 1_800_000)
  expect(corrected.state().bed.temperature!).toBeCloseTo(always.state().bed.temperature!, 3)
})

it('reads a datum as it would be with the offsets of today', () => {
  const shop = demoShop()
  const machine = shop.machines.find(m => m.id === 'mill-1')!
  const datum: Datum = {
    id: 1,
    machine: 'mill-1',
    at: start,
    by: 'Ada',
    note: '',
    temperatures: { 'x-screw': 21, bed: 20.2, air: 20 },
    part: 19.5,
  }
  const ofAir = change(0.2, { at: start + 1, sensor: 'mill-1-air' })
  const changes = [change(-0.3, { at: start + 1 }), change(0.7, { at: start - 1 }), ofAir].map((c, id) => ({
    ...c,
    id,
  }))
  const { temperatures, part } = datumWithOffsets(datum, machine, shop, changes)
  expect(temperatures['x-screw']).toBeCloseTo(20.7, 9)
  expect(temperatures.air).toBeCloseTo(20.2, 9)
  // no sensor is on the bed: it was predicted from the air and, less, from what follows it beside the bed
  const { surroundings, measured } = movesWithOffsets(
    4 * 3600,
    [45, 45, 40, 210, 72].map(minutes => ({ timeConstant: 60 * minutes, placement: 0.2 })),
    machine.nodes.find(({ id }) => id === 'air')!.placementUncertainty,
  )
  expect(temperatures.bed).toBeCloseTo(20.2 + 0.2 * surroundings - 0.3 * measured[0]!, 9)
  expect(surroundings).toBeGreaterThan(0.2)
  expect(surroundings + measured.reduce((sum, part) => sum + part, 0)).toBeCloseTo(1, 9)
  // the part is taken from a node too
  expect(machine.workpiece.node).toBe('air')
  expect(part).toBeCloseTo(19.7, 9)
})
