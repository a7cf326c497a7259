import { expect, it, onTestFinished } from 'vitest'
import type { Shop } from '../../core/shop.js'
import { changeShop, recoveredMonitor } from '../../server/recovery.js'
import { openStore } from '../../server/store/sqlite.js'
import type { Store } from '../../server/store/store.js'
import { identifyingNode } from '../../server/studies/identification/node.js'
import { temporaryFolder } from '../temporary-folder.js'
import { appFor, local, mill, now, shop } from './http/fakes.js'
import { answersLater } from './store/answers-later.js'

// What stands above the store gives the same whether answers come at once or later: nothing relies on the former.

const minute = 60_000
const hour = 60 * minute

const fault = { kind: 'frozen' as const, for: 3600, moved: 0.5 }

/** Three days of the shop's sensors, one of which was not believed for two hours, and the same store answering later. */
const filled = async (): Promise<[store: Store, later: Store]> => {
  const store = openStore(temporaryFolder())
  onTestFinished(() => store.close())
  for (const [place, { id, unit }] of shop.sensors.entries())
    store.append(
      Array.from({ length: 72 * 60 }, (_, i) => {
        const at = now - 72 * hour + i * minute
        const value = unit === 'state' ? Number(i % 300 < 20) : 20 + place / 8 + Math.round(48 * Math.sin(i / 230)) / 16
        return { sensor: id, at, value, receivedAt: at + 40 }
      }),
    )
  store.recordRefusals([{ at: now - hour, topic: 't/s-air', reason: 'not a number', sample: 'x' }])
  await store.facts.record('trust', [
    {
      sensor: 's-screw',
      at: now - 9 * hour,
      since: now - 9 * hour,
      trust: 'suspect',
      fault,
      basis: { kind: 'frozen', value: 20 },
    },
    { sensor: 's-screw', at: now - 7 * hour, since: now - 7 * hour, trust: 'ok', fault: null, basis: null },
  ])
  await store.facts.record('datum', [
    {
      machine: 'mill',
      at: now - 5 * hour,
      by: 'Ada',
      note: '',
      temperatures: { air: 20, 'x-screw': 20.5, column: 20 },
    },
  ])
  return [store, answersLater(store)]
}

const paths = [
  '/api/readings',
  '/api/sensors/courses',
  '/api/series?sensors=s-air,s-screw,s-door',
  '/api/series?sensors=s-screw&format=csv',
  '/api/machines/mill/growth',
  '/api/machines/mill/datums',
  '/api/machines/mill/verdicts',
  '/api/machines/mill/learning',
  '/api/machines/mill/identifications',
  '/api/calibration/check?sensors=all',
  '/api/refusals',
]

it.each(paths)('GET %s', async path => {
  const [store, later] = await filled()
  const answers = []
  for (const each of [store, later]) {
    const { app } = await appFor({}, { store: each })
    const { statusCode, body } = await app.inject({ url: path, headers: local })
    answers.push({ statusCode, body })
  }
  expect(answers[0]!.statusCode).toBe(200)
  expect(answers[1]).toEqual(answers[0])
})

it('what is put on record is there when the answer comes', async () => {
  const [, later] = await filled()
  const { app, monitor } = await appFor({}, { store: later })
  monitor.now = now
  const set = await app.inject({
    method: 'POST',
    url: '/api/machines/mill/datums',
    headers: local,
    payload: { by: 'Kim', note: '' },
  })
  expect([set.statusCode, set.body]).toEqual([201, expect.stringContaining('Kim')])
  const { body } = await app.inject({ url: '/api/machines/mill/datums', headers: local })
  expect(body).toContain('Kim')
})

it('recovery at a start, and after the shop file has changed', async () => {
  const another: Shop = { ...shop, machines: [{ ...mill, workpiece: { ...mill.workpiece, uncertainty: 0.5 } }] }
  const seen = []
  for (const store of await filled()) {
    // the shop in force is changed in place
    const inForce = structuredClone(shop)
    const monitor = await recoveredMonitor(inForce, store, now)
    monitor.advance(now)
    const before = { machines: monitor.machines(), sensors: monitor.sensors() }
    await changeShop(monitor, inForce, structuredClone(another), store, now)
    seen.push({ before, after: { machines: monitor.machines(), sensors: monitor.sensors() } })
  }
  expect(seen[0]!.before.sensors.find(({ sensor }) => sensor === 's-air')).toMatchObject({ trust: 'ok' })
  expect(seen[0]!.after).not.toEqual(seen[0]!.before)
  expect(seen[1]).toEqual(seen[0])
})

it('identification of a time constant', async () => {
  const found = []
  for (const store of await filled()) {
    const work = identifyingNode(shop, store, mill, mill.nodes[1]!, now)
    let step = await work.next()
    while (!step.done) step = await work.next()
    found.push(step.value)
  }
  expect(found[0]!.hours).toBeGreaterThan(60)
  expect(found[1]).toEqual(found[0])
})
