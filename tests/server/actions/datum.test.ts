import { expect, it, onTestFinished } from 'vitest'
import { createActions } from '../../../server/actions/index.js'
import { createMonitor } from '../../../server/monitor/index.js'
import { openStore } from '../../../server/store/sqlite.js'
import { demoShop } from '../../demo-shop.js'
import { temporaryFolder } from '../../temporary-folder.js'

const start = Date.UTC(2026, 0, 14)
const hour = 3_600_000
const who = { by: 'Ada', note: '' }
const machine = demoShop().machines.find(({ id }) => id === 'mill-1')!

/** Mill 1 of the demo shop over eight hours: its air falls by 2 K from the fourth hour on, and the bodies follow. */
const lived = () => {
  const shop = demoShop()
  // one class from the datum, and the same from each job's start
  const plates = shop.workClasses.find(({ zeroedAt }) => zeroedAt === 'datum')!
  shop.workClasses = [plates, { ...plates, id: 'each-start', zeroedAt: 'job start' }]
  const store = openStore(temporaryFolder())
  onTestFinished(() => store.close())
  const monitor = createMonitor({ shop })
  monitor.setFilling(0, 60)
  const own = shop.sensors.filter(({ at }) => at.kind === 'node' && at.machine === 'mill-1')
  const state = { air: 22, body: 22.5 }
  let now = start
  const live = (hours: number) => {
    for (const end = now + hours * hour; now < end; now += 60_000) {
      state.air = now < start + 4 * hour ? 22 : 20
      state.body += (state.air + 0.5 - state.body) / 90
      const isAir = (node: string) => machine.nodes.find(({ id }) => id === node)!.kind === 'air'
      const readings = own.map(({ id, at, offset }) => ({
        sensor: id,
        at: now,
        receivedAt: now,
        value: (at.kind === 'node' && isAir(at.node) ? state.air : state.body) - offset,
      }))
      store.append(readings)
      monitor.take(readings.map(reading => ({ ...reading, value: reading.value })))
      monitor.advance(now)
    }
  }
  const actions = createActions({
    shop: () => shop,
    store,
    monitor,
    knownSpindle: async () => null,
    fileSensors: () => demoShop().sensors,
    clock: () => now,
  })
  const of = (id: string) => monitor.machine('mill-1')!.classes.find(c => c.workClass === id)!
  return {
    monitor,
    store,
    actions,
    live,
    plates: () => of(plates.id),
    eachStart: () => of('each-start'),
    now: () => now,
  }
}

it('is needed by work that is zeroed at it, and no other', async () => {
  const { live, plates, eachStart, actions } = lived()
  live(4)
  expect(plates().verdict).toBe('unknown')
  expect(plates().reasons[0]!.kind).toBe('zero')
  expect(eachStart().verdict).not.toBe('unknown')
  await actions.setDatum(machine, { firstPart: true }, who)
  live(1 / 60)
  expect(plates().verdict).not.toBe('unknown')
  // a shop that lived alike, without a datum, shows the same for each job's start
  const without = lived()
  without.live(4)
  without.live(1 / 60)
  expect(eachStart()).toEqual(without.eachStart())
})

it('leaves no size error for its moment where a first part was measured, even while the part on the machine is soaking', async () => {
  const { live, plates, actions } = lived()
  live(4.5)
  const datum = await actions.setDatum(machine, { firstPart: true }, who)
  // half an hour after the air fell the part is still between it and where it was
  expect(datum.part).toBeGreaterThan(20.3)
  live(1 / 60)
  for (const { sizeError, error } of plates().axes) {
    expect(Math.abs(sizeError)).toBeLessThan(0.4e-6)
    expect(Math.abs(error)).toBeLessThan(0.6e-6)
  }
})

it('does not take away what a warm screw does over a length where zero was taken at one place', async () => {
  const { live, plates, eachStart, actions } = lived()
  live(4)
  await actions.setDatum(machine, { firstPart: false }, who)
  live(1 / 60)
  plates().axes.forEach(({ sizeError, error }, i) => {
    expect(sizeError).toBeCloseTo(eachStart().axes[i]!.sizeError, 9)
    expect(Math.abs(error - sizeError)).toBeLessThan(0.3e-6)
  })
})

it('can be set for a moment in the past, as it was believed then, and an older one does not take its place', async () => {
  const { live, actions, monitor, store, now } = lived()
  live(3)
  const then = monitor.datumNow('mill-1')
  const at = now() - 60_000
  live(5)
  const datum = await actions.setDatum(machine, { at, firstPart: true }, who)
  expect(datum.at).toBe(at)
  for (const [node, temperature] of Object.entries(then.temperatures))
    expect(Math.abs(datum.temperatures[node]! - temperature)).toBeLessThan(0.1)
  expect(Math.abs(datum.part! - then.part!)).toBeLessThan(0.1)
  live(1 / 60)
  expect(monitor.machine('mill-1')!.datum!.at).toBe(at)
  // the bodies have cooled by nearly 2 K since, and the screws with them
  for (const { sinceDatum } of monitor.machine('mill-1')!.growth) expect(Math.abs(sinceDatum!)).toBeGreaterThan(1e-6)
  await actions.setDatum(machine, { at: at - hour, firstPart: true }, who)
  expect(monitor.machine('mill-1')!.datum!.at).toBe(at)
  expect(await store.facts.of('datum', { subject: 'mill-1' })).toHaveLength(2)
})

it('is refused for a moment of which nothing is known', async () => {
  const { live, actions, store } = lived()
  live(2)
  await expect(actions.setDatum(machine, { at: start - hour, firstPart: true }, who)).rejects.toThrow(
    /nothing was known/,
  )
  expect(await store.facts.of('datum')).toEqual([])
})
