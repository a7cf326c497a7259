import { expect, onTestFinished, test } from 'vitest'
import type { Sensor, Shop } from '../../../../core/shop.js'
import { createMonitor } from '../../../../server/monitor/index.js'
import { openStore, type SqliteStore } from '../../../../server/store/sqlite.js'
import {
  identificationsOf,
  identifyingDue,
  startIdentification,
  useIdentifications,
} from '../../../../server/studies/identification/index.js'
import { invented } from '../../../core/settling/shop-air.js'
import { temporaryFolder } from '../../../temporary-folder.js'
import { shop as plain } from '../../http/fakes.js'

const day = 86_400_000
const from = Date.UTC(2026, 2, 2)
const now = from + 7 * day
const mill = {
  ...plain.machines[0]!,
  nodes: plain.machines[0]!.nodes.map(node => ({
    ...node,
    ...(node.kind === 'body' && { timeConstant: 3000, timeConstantUncertainty: 0.3 }),
  })),
}
const hallAir: Sensor = {
  ...plain.sensors[0]!,
  id: 's-hall',
  topic: 't/s-hall',
  name: 'Hall air',
  at: { kind: 'shop air' },
}
const shop: Shop = { ...plain, machines: [mill], sensors: [...plain.sensors, hallAir] }

/** A store with a week of an X screw of 1 h and a column that hardly moves, in five-minute readings. */
const filled = (): SqliteStore => {
  const store = openStore(temporaryFolder())
  onTestFinished(() => store.close())
  const { times, node, air } = invented(1, { tau: 3600, days: 7 })
  const other = invented(2, { tau: 3600, days: 7 }).air
  store.append(
    times.flatMap((t, i) => {
      const at = from + t + 150_000
      return [
        { sensor: 's-air', at, value: air[i]!, receivedAt: at },
        // the sensor's offset is 0.5 K
        { sensor: 's-screw', at, value: node[i]! - 0.5, receivedAt: at },
        { sensor: 's-hall', at, value: other[i]!, receivedAt: at },
        ...(i < 300 ? [{ sensor: 's-column', at, value: 20, receivedAt: at }] : []),
      ]
    }),
  )
  return store
}

const finish = <T>(steps: Generator<void, T>): { value: T; longest: number } => {
  let longest = 0
  for (;;) {
    const begun = performance.now()
    const step = steps.next()
    longest = Math.max(longest, performance.now() - begun)
    if (step.done) return { value: step.value, longest }
  }
}

test('what is due is identified from the store, kept as a fact, told to the monitor, and due again a day later', () => {
  const store = filled()
  const monitor = createMonitor({ shop })
  const { value, longest } = finish(identifyingDue(shop, store, monitor, now))
  expect(value).toBe(2)
  // a step must leave the event loop free; usual steps take a few ms
  expect(longest).toBeLessThan(150)

  const [screw, column] = identificationsOf(shop, store, mill, now)
  expect(screw!.inUse).toMatchObject({ accepted: true, node: 'x-screw', follows: 'air', refusal: '', bestAir: 'air' })
  expect(screw!.inUse!.timeConstant! / 3600).toBeCloseTo(1, 1)
  expect(Math.abs(screw!.inUse!.steadyExcess!)).toBeLessThan(0.1)
  expect(column).toMatchObject({ inUse: null, newest: { accepted: false, tooLittle: true } })
  expect(column!.newest!.refusal).toMatch(/^only 25 h of readings of both/)

  const nodes = monitor.machine('mill')!.nodes
  expect(nodes.find(n => n.node === 'x-screw')).toMatchObject({
    timeConstant: screw!.inUse!.timeConstant,
    timeConstantUncertainty: screw!.inUse!.uncertainty,
  })
  expect(nodes.find(n => n.node === 'column')).toMatchObject({ timeConstant: 3000, timeConstantUncertainty: 0.3 })

  expect(finish(identifyingDue(shop, store, monitor, now + day / 2)).value).toBe(0)
  expect(finish(identifyingDue(shop, store, monitor, now + day)).value).toBe(2)
  expect(store.identifications('mill', 0)).toHaveLength(4)
  expect(store.identifications('mill', now + 1)).toHaveLength(2)
})

test('a changed sensor ends what was identified with the old one', () => {
  const store = filled()
  const monitor = createMonitor({ shop })
  finish(identifyingDue(shop, store, monitor, now))
  const moved: Shop = { ...shop, sensors: shop.sensors.map(s => (s.id === 's-screw' ? { ...s, topic: 't/new' } : s)) }
  expect(identificationsOf(moved, store, mill, now)[0]!.inUse).toBeNull()
  useIdentifications(moved, store, monitor, mill, now)
  expect(monitor.machine('mill')!.nodes.find(n => n.node === 'x-screw')!.timeConstant).toBe(3000)
  expect(finish(identifyingDue(moved, store, monitor, now + 1)).value).toBe(1)
})

test('a later history that tells too little leaves the former one standing, one that contradicts it does not', () => {
  const store = filled()
  const monitor = createMonitor({ shop })
  finish(identifyingDue(shop, store, monitor, now))
  const [{ inUse }] = identificationsOf(shop, store, mill, now) as [ReturnType<typeof identificationsOf>[0]]
  const later = { ...inUse!, at: now + day, accepted: false, refusal: 'hardly moved', tooLittle: true }
  store.addIdentification(later)
  expect(identificationsOf(shop, store, mill, now + day)[0]!.inUse!.id).toBe(inUse!.id)
  store.addIdentification({ ...later, at: now + 2 * day, refusal: 'two speeds', tooLittle: false })
  expect(identificationsOf(shop, store, mill, now + 2 * day)[0]!.inUse).toBeNull()
})

test('the service works in slices and lets other work in between', async () => {
  const store = filled()
  const monitor = createMonitor({ shop })
  const said: string[] = []
  const log = { info: (text: string) => said.push(text), error: (text: unknown) => said.push(String(text)) }
  const service = startIdentification(
    shop,
    store,
    monitor,
    () => now,
    () => true,
    log,
  )
  onTestFinished(() => service.stop())
  service.look()
  let longest = 0
  for (let last = performance.now(); said.length === 0; ) {
    await new Promise(resolve => setTimeout(resolve, 1))
    const moment = performance.now()
    longest = Math.max(longest, moment - last)
    last = moment
  }
  expect(said).toEqual(['time constants of 2 nodes were looked for in their history'])
  expect(longest).toBeLessThan(150)
  expect(monitor.machine('mill')!.nodes.find(n => n.node === 'x-screw')!.timeConstant).not.toBe(3000)
})
