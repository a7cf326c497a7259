import { expect, it, onTestFinished, vi } from 'vitest'
import type { Sensor, Shop } from '../../../../core/shop.js'
import { createMonitor, type Monitor } from '../../../../server/monitor/index.js'
import { openStore } from '../../../../server/store/sqlite.js'
import {
  identificationsOf,
  type NodeIdentification,
  startIdentification,
  useIdentifications,
} from '../../../../server/studies/identification/index.js'
import { createBesideWorker } from '../../../../server/worker/index.js'
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

type Filled = ReturnType<typeof filled>

/**
 * A store with a week of an X screw of 1 h and a column that hardly moves, in five-minute readings.
 *
 * @param every of these one is there: a slower sensor
 */
const filled = (every = 1) => {
  const folder = temporaryFolder()
  const store = openStore(folder)
  onTestFinished(() => store.close())
  const { times, node, air } = invented(1, { tau: 3600, days: 7 })
  const other = invented(2, { tau: 3600, days: 7 }).air
  store.append(
    times.flatMap((t, i) => {
      const at = from + t + 150_000
      if (i % every !== 0) return []
      return [
        { sensor: 's-air', at, value: air[i]!, receivedAt: at },
        // the sensor's offset is 0.5 K
        { sensor: 's-screw', at, value: node[i]! - 0.5, receivedAt: at },
        { sensor: 's-hall', at, value: other[i]!, receivedAt: at },
        ...(i < 300 ? [{ sensor: 's-column', at, value: 20, receivedAt: at }] : []),
      ]
    }),
  )
  return { folder, store }
}

/** Identifies what is due as the service does, on the thread. @returns what it said in the log */
const identified = async ({ folder, store }: Filled, monitor: Monitor, shopNow: Shop, moment: number) => {
  const beside = createBesideWorker({ folder, shop: shopNow })
  const said: string[] = []
  const log = { info: (text: string) => said.push(text), error: (text: unknown) => said.push(JSON.stringify(text)) }
  let running: Promise<void> | undefined
  const identify: typeof beside.identify = (now, found) => {
    running = beside.identify(now, found)
    return running
  }
  const service = startIdentification(
    shopNow,
    store,
    monitor,
    { identify },
    () => moment,
    () => true,
    log,
  )
  try {
    service.look()
    await running?.catch(() => undefined)
    await new Promise(setImmediate)
  } finally {
    service.stop()
    await beside.stop()
  }
  return said
}

it('what is due is identified from the store, kept as a fact, told to the monitor, and due again a day later', async () => {
  const given = filled()
  const { store } = given
  const monitor = createMonitor({ shop })
  // what is read is read on the thread: here it would hold everything up
  const here = vi.spyOn(store, 'series')
  expect(await identified(given, monitor, shop, now)).toEqual([
    'time constants of 2 nodes were looked for in their history',
  ])
  expect(here).not.toHaveBeenCalled()

  const [screw, column] = await identificationsOf(shop, store, mill, now)
  expect(screw!.inUse).toMatchObject({ accepted: true, node: 'x-screw', follows: 'air', refusal: null, bestAir: 'air' })
  expect(screw!.inUse!.timeConstant! / 3600).toBeCloseTo(1, 1)
  expect(Math.abs(screw!.inUse!.steadyExcess!)).toBeLessThan(0.1)
  expect(column).toMatchObject({ inUse: null, newest: { accepted: false, tooLittle: true } })
  expect(column!.newest!.refusal).toMatchObject({ kind: 'few readings', needed: 36 })

  const nodes = monitor.machine('mill')!.nodes
  expect(nodes.find(n => n.node === 'x-screw')).toMatchObject({
    timeConstant: screw!.inUse!.timeConstant,
    timeConstantUncertainty: screw!.inUse!.uncertainty,
  })
  expect(nodes.find(n => n.node === 'column')).toMatchObject({ timeConstant: 3000, timeConstantUncertainty: 0.3 })

  expect(await identified(given, monitor, shop, now + day / 2)).toEqual([])
  expect(await identified(given, monitor, shop, now + day)).toHaveLength(1)
  expect(await store.facts.of('identification', { from: 0 })).toHaveLength(4)
  expect(await store.facts.of('identification', { from: now + 1 })).toHaveLength(2)
})

it.for([
  ['ten minutes', 2],
  ['a quarter of an hour', 3],
] as const)('a sensor that reports every %s tells a time constant all the same', async ([_, every]) => {
  const given = filled(every)
  const monitor = createMonitor({ shop })
  await identified(given, monitor, shop, now)
  const [screw] = await identificationsOf(shop, given.store, mill, now)
  expect(screw!.newest!.refusal).toBeNull()
  const { timeConstant, uncertainty } = screw!.inUse!
  // between its readings nothing is known: within a tenth, or three times what it says of itself
  expect(Math.abs(timeConstant! / 3600 - 1)).toBeLessThan(Math.max(0.1, 3 * uncertainty!))
})

it('a changed sensor ends what was identified with the old one', async () => {
  const given = filled()
  const { store } = given
  const monitor = createMonitor({ shop })
  await identified(given, monitor, shop, now)
  const moved: Shop = { ...shop, sensors: shop.sensors.map(s => (s.id === 's-screw' ? { ...s, topic: 't/new' } : s)) }
  const found = await identificationsOf(moved, store, mill, now)
  expect(found[0]!.inUse).toBeNull()
  useIdentifications(monitor, mill.id, found)
  expect(monitor.machine('mill')!.nodes.find(n => n.node === 'x-screw')!.timeConstant).toBe(3000)
  expect(await identified(given, monitor, moved, now + 1)).toEqual([
    'time constants of 1 nodes were looked for in their history',
  ])
})

it('a later history that tells too little leaves the former one standing, one that contradicts it does not', async () => {
  const given = filled()
  const { store } = given
  const monitor = createMonitor({ shop })
  await identified(given, monitor, shop, now)
  const [{ inUse }] = (await identificationsOf(shop, store, mill, now)) as [NodeIdentification]
  const later = {
    ...inUse!,
    at: now + day,
    accepted: false,
    refusal: { kind: 'moved little' as const, moved: 0.04, needed: 0.1 },
    tooLittle: true,
  }
  await store.facts.record('identification', [later])
  expect((await identificationsOf(shop, store, mill, now + day))[0]!.inUse!.id).toBe(inUse!.id)
  await store.facts.record('identification', [
    { ...later, at: now + 2 * day, refusal: { kind: 'residuals alike', correlation: 0.8 }, tooLittle: false },
  ])
  expect((await identificationsOf(shop, store, mill, now + 2 * day))[0]!.inUse).toBeNull()
})

it('when what was found cannot be stored, it is said, and all is due again', async () => {
  const given = filled()
  vi.spyOn(given.store.facts, 'record').mockRejectedValueOnce(new Error('disk full'))
  const said = await identified(given, createMonitor({ shop }), shop, now)
  expect(said).toHaveLength(1)
  expect(said[0]).not.toMatch(/were looked for/)
  expect(await given.store.facts.of('identification', { from: 0 })).toEqual([])
})

it('is given up, and no more, when what was found last cannot be recorded after the thread has ended', async () => {
  const { folder } = filled()
  const beside = createBesideWorker({ folder, shop })
  onTestFinished(() => beside.stop())
  const found = async () => {
    await new Promise(resolve => setTimeout(resolve, 1500))
    throw new Error('the disk is full')
  }
  await expect(beside.identify(now, found)).rejects.toThrow('the disk is full')
  // a rejection that nobody handles would end the service, and fails this run
  await new Promise(setImmediate)
})
