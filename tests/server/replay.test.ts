import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { setTimeout as wait } from 'node:timers/promises'
import { expect, it, onTestFinished } from 'vitest'
import { demoShop } from '../demo-shop.js'
import { type Mosquitto, startMosquitto } from '../mosquitto.js'
import { serving } from '../serving.js'
import { temporaryFolder } from '../temporary-folder.js'
import { running } from './running.js'

const shopFile = new URL('../../simulators/demo-shop.yaml', import.meta.url).pathname
const shop = demoShop()

const broker = async (settings: string[] = []): Promise<Mosquitto> => {
  const mosquitto = await startMosquitto(settings)
  onTestFinished(() => mosquitto.remove())
  return mosquitto
}

const serve = async (mosquitto: Mosquitto) => {
  const service = await serving(shop, mosquitto.url, '/nowhere')
  const until = async (right: () => boolean | Promise<boolean>) => {
    for (let i = 0; i < 500 && !(await right()); i++) await wait(20)
  }
  return { service, until }
}

/** sensors of the demo shop that send JSON with a time, and a recording of them in no particular order */
const recording = (from: number, count: number) => {
  const sensors = shop.sensors
    .filter(s => s.payload.kind === 'json' && s.payload.time !== undefined && s.unit !== 'state')
    .slice(0, 5)
  const readings = sensors.flatMap((sensor, k) =>
    Array.from({ length: count }, (_, i) => ({
      sensor: sensor.id,
      at: from + i * 10_000 + k,
      value: 20 + ((i * 7 + k) % 40) / 16,
    })),
  )
  const text = `time,sensor,value (°C)\n${readings.map(r => `${new Date(r.at).toISOString()},${r.sensor},${r.value}`).join('\n')}\n`
  const file = join(temporaryFolder(), 'recording.csv')
  writeFileSync(file, text)
  return { readings, file, text }
}

it('publishes a recording through a real broker into a running service, reading by reading', async () => {
  const mosquitto = await broker()
  const { service, until } = await serve(mosquitto)
  const from = Math.floor(Date.now() / 1000) * 1000 - 5 * 86_400_000
  const { readings, file } = recording(from, 2000)
  expect(new Set(readings.map(r => r.sensor)).size).toBe(5)
  const json = join(temporaryFolder(), 'counts.json')
  const replay = running('server/replay.js', [
    '--file',
    file,
    '--broker',
    mosquitto.url,
    '--shop',
    shopFile,
    '--speed',
    'max',
    '--json',
    json,
  ])
  expect(await replay.ended, replay.said()).toBe(0)
  expect(replay.said()).toMatch(/Done after .*: 10000 of 10000 messages acknowledged/)
  expect(JSON.parse(readFileSync(json, 'utf8'))).toMatchObject({
    readingsInFile: 10_000,
    readingsPlayed: 10_000,
    sensors: 5,
    messagesPublished: 10_000,
    messagesAcknowledged: 10_000,
    rowsRefused: 0,
  })

  const stored = () => [...service.store.readings(0, Date.now())].flat()
  await until(() => stored().length >= 10_000)
  const key = (r: { sensor: string; at: number }) => `${r.at} ${r.sensor}`
  const inOrder = [...readings].sort((a, b) => (key(a) < key(b) ? -1 : 1))
  const found = stored().map(({ sensor, at, value }) => ({ sensor, at, value }))
  expect(found).toHaveLength(inOrder.length)
  const values = new Map(found.map(r => [key(r), r.value]))
  for (const reading of inOrder) expect(values.get(key(reading))).toBeCloseTo(reading.value, 5)
})

it('keeps the pace, between two moments, with its times shifted to now', async () => {
  const mosquitto = await broker()
  const { service, until } = await serve(mosquitto)
  // 2026-01-14 09:00 in Vienna is 08:00 UTC
  const from = Date.UTC(2026, 0, 14, 8)
  const { file } = recording(from, 60)
  const replay = running('server/replay.js', [
    ...['--file', file, '--broker', mosquitto.url, '--shop', shopFile, '--speed', '60', '--times', 'now'],
    ...['--from', '2026-01-14T08:02Z', '--to', '2026-01-14T08:05Z'],
  ])
  const begun = performance.now()
  expect(await replay.ended, replay.said()).toBe(0)
  // 170 s of recording at 60 times its pace
  expect(performance.now() - begun).toBeGreaterThan(2800)
  const stored = () => [...service.store.readings(0, Date.now() + 60_000)].flat()
  await until(() => stored().length >= 5 * 18)
  expect(stored()).toHaveLength(5 * 18)
  const times = stored().map(r => r.at)
  expect(times.at(-1)! - times[0]!).toBe(170_004)
  for (const { at, receivedAt } of stored()) expect(at - receivedAt).toBeLessThanOrEqual(1000)
})

it('says what it leaves out, loops until it is stopped, and ends with counts', async () => {
  const mosquitto = await broker()
  const { text } = recording(Date.now() - 3_600_000, 3)
  const file = join(temporaryFolder(), 'faulty.csv')
  writeFileSync(file, `${text}soon,nobody,20\n`)
  const replay = running('server/replay.js', [
    '--file',
    file,
    '--broker',
    mosquitto.url,
    '--shop',
    shopFile,
    '--speed',
    '60',
    '--times',
    'now',
    '--loop',
  ])
  await replay.until(/line 17, sensor: no sensor has the id, name or topic "nobody"\n {2}→ write/)
  await replay.until(/15 readings of 5 sensors/)
  await wait(1200)
  replay.child.kill('SIGINT')
  expect(await replay.ended).toBe(0)
  expect(replay.said()).toMatch(
    /Stopped after .*messages acknowledged, [1-9]\d* whole rounds; 1 rows and 0 single values/,
  )
})

it('without a shop file sends bare numbers to the topics that the recording names, and lasts through an absence of the broker', async () => {
  const mosquitto = await broker()
  const file = join(temporaryFolder(), 'topics.csv')
  const from = Date.UTC(2026, 0, 14, 8)
  writeFileSync(
    file,
    `time;shop/a (°F);shop/b\n${Array.from({ length: 200 }, (_, i) => `${new Date(from + i * 1000).toISOString()};68,0;${i}`).join('\n')}\n`,
  )
  const { connectAsync } = await import('mqtt')
  const heard: string[] = []
  const listener = await connectAsync(mosquitto.url, { clean: false, clientId: 'listener', reconnectPeriod: 100 })
  onTestFinished(async () => {
    await listener.endAsync(true)
  })
  listener.on('message', (topic, payload) => heard.push(`${topic} ${payload}`))
  await listener.subscribeAsync('shop/#', { qos: 1 })

  const replay = running('server/replay.js', ['--file', file, '--broker', mosquitto.url, '--speed', '40'])
  await replay.until(/2 of the sensors send no time/)
  await wait(1000)
  await mosquitto.stop()
  await replay.until(/The broker is gone/)
  await mosquitto.start()
  expect(await replay.ended, replay.said()).toBe(0)
  expect(replay.said()).toMatch(/400 of 400 messages acknowledged/)
  for (let i = 0; i < 200 && new Set(heard).size < 201; i++) await wait(20)
  const expected = Array.from({ length: 200 }, (_, i) => `shop/b ${i}`)
  expect(new Set(heard)).toEqual(new Set(['shop/a 20', ...expected]))
})

it('ends with what is wrong and what to do, before anything is sent', async () => {
  const file = join(temporaryFolder(), 'bad.csv')
  writeFileSync(file, 'when,what\n1,2\n')
  const ends = async (...argv: string[]) => {
    const replay = running('server/replay.js', argv)
    return { code: await replay.ended, said: replay.said() }
  }
  expect(await ends('--file', '/nowhere/x.csv')).toMatchObject({
    code: 2,
    said: expect.stringMatching(/cannot be read/),
  })
  expect(await ends('--file', file)).toMatchObject({
    code: 2,
    said: expect.stringMatching(/no column is headed "time"/),
  })
  writeFileSync(file, 'time,t\n2026-01-14T08:00Z,20\n')
  expect(await ends('--file', file, '--broker', 'mqtt://127.0.0.1:9')).toMatchObject({
    code: 1,
    said: expect.stringMatching(/No broker lets us in at mqtt:\/\/127\.0\.0\.1:9 .*--broker/),
  })
  expect(await ends('--file', file, '--from', '2026-02-01T00:00Z')).toMatchObject({
    code: 2,
    said: expect.stringMatching(/no reading between --from and --to; it goes from 2026-01-14T08:00/),
  })
})
