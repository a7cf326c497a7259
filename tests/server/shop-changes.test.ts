import { renameSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import { connectAsync } from 'mqtt'
import { pino } from 'pino'
import { expect, it, onTestFinished } from 'vitest'
import { startService } from '../../server/service.js'
import { readShop } from '../../server/shop/index.js'
import { watchForChange } from '../../server/shop-changes.js'
import { openStore } from '../../server/store/sqlite.js'
import { startMosquitto } from '../mosquitto.js'
import { settingsFor } from '../serving.js'
import { temporaryFolder } from '../temporary-folder.js'

const minute = 60_000

interface Written {
  name?: string
  tolerance?: string
  hall?: boolean
}

const machine = (id: string, name: string) => `
  ${id}:
    name: ${name}
    nodes:
      air: { name: air at the machine, kind: air }
      x-screw: { name: X screw, follows: air, time constant: 45 min ± 30 % }
    axes:
      X: { travel: 500 mm, work at: 250 mm, screw: { material: steel, fixed at: 0 mm, mounting: one end fixed, nodes: x-screw } }
    workpiece: { node: air, uncertainty: 0.3 K }`

const fileOf = ({ name = 'Mill 1', tolerance = '0.2 mm', hall = false }: Written = {}) => `
shop: { name: Small shop, time zone: UTC }
work classes:
  bores: { name: Bores, tolerance: ${tolerance}, feature: 100 mm, material: aluminium 6061, duration: 45 min, share: 30 % }
machines:${machine('mill-1', name)}${machine('mill-2', 'Mill 2')}
sensor defaults: { unit: °C, interval: 60 s, uncertainty: 0.05 K, payload: number }
sensors:
  mill-1-air: { topic: shop/mill-1/air, at: mill-1/air, payload: { value: v, time: t } }
  mill-1-x-screw: { topic: shop/mill-1/x-screw, at: mill-1/x-screw }
  mill-2-air: { topic: shop/mill-2/air, at: mill-2/air }
  mill-2-x-screw: { topic: shop/mill-2/x-screw, at: mill-2/x-screw }
${hall ? '  hall: { topic: shop/hall, at: shop air }' : ''}
`

const ids = ['mill-1-air', 'mill-1-x-screw', 'mill-2-air', 'mill-2-x-screw']

/** a small shop on a real broker and a file on disk, two hours of which are stored already; the hall was measured once */
const running = async () => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  const folder = temporaryFolder()
  const path = join(folder, 'shop.yaml')
  writeFileSync(path, fileOf())
  const read = readShop(path)
  if ('problems' in read) throw new Error(JSON.stringify(read.problems))
  const data = join(folder, 'data')
  const store = openStore(data)
  const now = Date.now()
  for (const sensor of [...ids, 'hall'])
    store.append(
      Array.from({ length: 120 }, (_, i) => {
        const at = now - (119 - i) * minute
        return { sensor, at, value: 20 + (i % 3) / 16, receivedAt: at }
      }),
    )
  // fit is earned slowly, and was already
  await store.facts.record(
    'verdict',
    ['mill-1', 'mill-2'].map(id => ({
      ...{ machine: id, workClass: 'bores', at: now - 60 * minute, verdict: 'fit' as const },
      ...{ thermalErrorIndex: 10, reason: null },
    })),
  )
  store.close()
  const said: string[] = []
  const log = pino(
    { level: 'info' },
    { write: (line: string) => void said.push((JSON.parse(line) as { msg: string }).msg) },
  )
  const service = await startService(
    settingsFor({ shop: path, broker: { url: mosquitto.url }, embeddedBroker: false, data, log: 'info' }),
    { shop: read.shop, log, pages: '/nowhere' },
  )
  const unwatch = watchForChange(path, () => void service.changeShop(readShop(path)))
  onTestFinished(async () => {
    unwatch()
    await service.stop()
  })
  await expect.poll(() => service.monitor.shop().broker).toBe('connected')
  const client = await connectAsync(mosquitto.url)

  const begun = Date.now()
  let published = 0
  let publishing = true
  const publisher = (async () => {
    while (publishing) {
      // each at a time of its own: two in one ms would count as one reading
      await client.publishAsync('shop/mill-1/air', JSON.stringify({ v: 20.0625, t: Date.now() }), { qos: 1 })
      published += 1
      await pause(10)
    }
  })()
  onTestFinished(async () => {
    publishing = false
    await publisher
    await client.endAsync(true)
  })
  return {
    path,
    service,
    begun,
    client,
    said,
    /** writes the file as an editor does that puts a new one in the old one's place */
    write(text: string) {
      writeFileSync(`${path}.new`, text)
      renameSync(`${path}.new`, path)
    },
    stateOf: (id: string) => service.monitor.machine(id)!.classes[0]!,
    async endPublishing() {
      publishing = false
      await publisher
      return published
    },
    get: async (url: string) => (await fetch(`${service.url}${url}`)).json(),
  }
}

it('takes effect while the service runs, breaks nothing that goes on, and a wrong file changes nothing', async () => {
  const shop = await running()
  const { service, said } = shop
  await expect.poll(() => shop.stateOf('mill-1').verdict).toBe('fit')
  await expect.poll(() => shop.stateOf('mill-2').verdict).toBe('fit')
  const since = { 'mill-1': shop.stateOf('mill-1').since, 'mill-2': shop.stateOf('mill-2').since }
  const shown = new Set<string>()
  service.monitor.onChange(({ machines, verdicts }) => {
    for (const { machine, classes } of machines) shown.add(`${machine} ${classes[0]!.verdict}`)
    for (const { machine, verdict } of verdicts) shown.add(`${machine} ${verdict}`)
  })
  const stream = await fetch(`${service.url}/api/live`)
  let events = ''
  const reader = stream.body!.pipeThrough(new TextDecoderStream()).getReader()
  onTestFinished(() => reader.cancel())
  void (async () => {
    for (let step = await reader.read(); !step.done; step = await reader.read()) events += step.value
  })().catch(() => undefined)

  // a sensor more: its past is there at once, what it sends is taken, and pages hear of it
  shop.write(fileOf({ hall: true }))
  await expect.poll(() => service.monitor.shop().air).toBeCloseTo(20.125, 6)
  await expect
    .poll(async () => {
      await shop.client.publishAsync('shop/hall', '20.5', { qos: 1 })
      return service.monitor.sensors().find(({ sensor }) => sensor === 'hall')!.value
    })
    .toBe(20.5)
  expect((await shop.get('/api/sensors')).sensors).toHaveLength(5)
  expect((await shop.get('/api/series?sensors=hall')).series[0].points.length).toBeGreaterThan(100)
  await expect.poll(() => events).toContain('event: anew')

  // another name
  shop.write(fileOf({ hall: true, name: 'Big mill' }))
  await expect.poll(async () => (await shop.get('/api/shop')).shop.machines[0].name).toBe('Big mill')
  for (const id of ['mill-1', 'mill-2'] as const)
    expect([id, shop.stateOf(id).verdict, shop.stateOf(id).since]).toEqual([id, 'fit', since[id]])
  expect([...shown].sort()).toEqual(['mill-1 fit', 'mill-2 fit'])

  // a wrong file
  const before = await shop.get('/api/shop')
  shop.write(fileOf({ hall: true, name: 'Big mill', tolerance: 'much' }))
  await expect.poll(() => service.monitor.shop().shopProblem).toMatch(/shop\.yaml has one problem/)
  const problem = service.monitor.shop().shopProblem!
  expect(problem).toMatch(/line 4, column \d+: work classes › bores › tolerance/)
  expect(problem).toContain('→')
  expect(problem).not.toContain(shop.path)
  expect(said.find(text => text.includes('stays in force'))).toContain(shop.path)
  expect(await shop.get('/api/shop')).toEqual(before)
  expect([...shown].sort()).toEqual(['mill-1 fit', 'mill-2 fit'])

  // mended, and with a tolerance that nothing can hold: that is seen at once, and never as unknown
  shop.write(fileOf({ hall: true, name: 'Big mill', tolerance: '1 µm' }))
  await expect.poll(() => service.monitor.shop().shopProblem).toBeUndefined()
  for (const id of ['mill-1', 'mill-2']) await expect.poll(() => shop.stateOf(id).verdict).not.toBe('fit')
  expect([...shown].filter(text => text.includes('unknown'))).toEqual([])

  // nothing that was published meanwhile is lost, on one and the same session
  const published = await shop.endPublishing()
  expect(published).toBeGreaterThan(100)
  const stored = () =>
    [...service.store.readings(shop.begun, Date.now() + 1)].flat().filter(r => r.sensor === 'mill-1-air').length
  await expect.poll(stored).toBe(published)
  expect(await (await fetch(`${service.url}/metrics`)).text()).toMatch(/what="reconnects"\} 0\n/)
})

it('makes a machine anew when what it is made of has changed, from what is stored, with its verdict standing', async () => {
  const shop = await running()
  await expect.poll(() => shop.stateOf('mill-1').verdict).toBe('fit')
  await expect.poll(() => shop.stateOf('mill-2').verdict).toBe('fit')
  const { since } = shop.stateOf('mill-1')
  const third = machine('mill-3', 'Mill 3')
  const sensors = ['air', 'x-screw'].map(n => `  mill-3-${n}: { topic: shop/mill-3/${n}, at: mill-3/${n} }\n`).join('')
  shop.write(
    fileOf()
      .replace('travel: 500 mm', 'travel: 600 mm')
      .replace('\nsensor defaults', `${third}\nsensor defaults`)
      .replace('\n  mill-2-air:', `\n${sensors}  mill-2-air:`),
  )
  await expect.poll(() => shop.service.monitor.machine('mill-3')?.classes[0]?.verdict).toBe('unknown')
  expect(shop.stateOf('mill-1')).toMatchObject({ verdict: 'fit', since })
  expect(shop.service.monitor.machine('mill-1')!.nodes[1]!.temperature).toBeCloseTo(20.06, 1)
  expect((await shop.get('/api/shop')).shop.machines[0].axes[0].travel).toBe(0.6)

  // and gone again
  shop.write(fileOf())
  await expect.poll(() => shop.service.monitor.machine('mill-3')).toBeUndefined()
  expect((await shop.get('/api/machines')).machines.map((m: { machine: string }) => m.machine)).toEqual([
    'mill-1',
    'mill-2',
  ])
  expect(shop.stateOf('mill-1')).toMatchObject({ verdict: 'fit', since })

  // what only a start can do is refused like a mistake
  shop.write(fileOf().replace('at: mill-2/air', 'at: mill-2/air, formerly: old-air'))
  await expect.poll(() => shop.service.monitor.shop().shopProblem).toMatch(/start the service again/)
})
