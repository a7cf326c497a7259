import { type AddressInfo, createServer } from 'node:net'
import { join } from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import { Aedes } from 'aedes'
import { beforeAll, describe, expect, it, onTestFinished } from 'vitest'
import { startBroker } from '../../../server/broker/broker.js'
import { brokerAddress } from '../../../server/ingest/broker-address.js'
import { reasons } from '../../../server/ingest/reasons.js'
import { eventually } from '../../eventually.js'
import { startMosquitto } from '../../mosquitto.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { sensor } from './sensors.js'
import { published, publisher, type Service, startService } from './service.js'

const a = sensor('a')
const b = sensor('b')
const bare = sensor('bare', { payload: { kind: 'number' }, interval: 0.2 })

const connected = (service: Service) => eventually(() => expect(service.states.at(-1)).toBe('connected'))
const stored = (service: Service, count: number) =>
  eventually(() => expect([...service.store.readings(0, Number.POSITIVE_INFINITY)].flat()).toHaveLength(count))
const refused = (service: Service, reason: string, count: number) =>
  eventually(() => expect(service.ingest.stats().refused[reason]).toBe(count))

const brokers = {
  mosquitto: async () => {
    const mosquitto = await startMosquitto()
    onTestFinished(() => mosquitto.remove())
    return mosquitto.url
  },
  embedded: async () => {
    const broker = await startBroker({ port: 0 })
    onTestFinished(() => broker.stop())
    return broker.url
  },
}

describe.each(['mosquitto', 'embedded'] as const)('with the broker %s', kind => {
  const start = brokers[kind]
  let now: number
  beforeAll(() => {
    now = Date.now()
  })

  it('readings are stored, then passed on', async () => {
    const url = await start()
    const folder = temporaryFolder()
    const inStore: number[] = []
    const service = startService(folder, url, [a, b], store => ({
      onReadings: () => inStore.push([...store.readings(0, Number.POSITIVE_INFINITY)].flat().length),
    }))
    await connected(service)
    expect(service.ingest.stats().mqtt).toBe(kind === 'mosquitto' ? '5' : '3.1.1')
    const client = await publisher(url)
    await client.publishAsync(a.topic, published(20.5, now - 2000), { qos: 1 })
    await client.publishAsync(b.topic, published('21.5', now - 1000), { qos: 0 })
    await stored(service, 2)
    expect([...service.store.readings(0, now)].flat().map(r => [r.sensor, r.at, r.value])).toEqual([
      ['a', now - 2000, 20.5],
      ['b', now - 1000, 21.5],
    ])
    await eventually(() => expect(inStore.at(-1)).toBe(2))
    expect(service.ingest.stats()).toMatchObject({ stored: 2, duplicate: 0, received: 2, refused: {}, reconnects: 0 })
  })

  it('what comes late, out of order or twice ends in its place, once', async () => {
    const url = await start()
    const service = startService(temporaryFolder(), url, [a])
    await connected(service)
    const client = await publisher(url)
    const times = [5, 1, 3, 1, 2, 5, 4].map(minutes => now - minutes * 60_000)
    for (const time of times)
      await client.publishAsync(a.topic, published(time, time).replace(/"value":\d+/, '"value":20'), { qos: 1 })
    await eventually(() => expect(service.ingest.stats().received).toBe(7))
    await stored(service, 5)
    expect([...service.store.readings(0, now)].flat().map(r => (now - r.at) / 60_000)).toEqual([5, 4, 3, 2, 1])
    await eventually(() => expect(service.ingest.stats().duplicate).toBe(2))
    expect(service.passed).toHaveLength(5)
  })

  it('a retained old message is not taken for a fresh reading', async () => {
    const url = await start()
    const client = await publisher(url)
    const old = now - 3 * 3_600_000
    await client.publishAsync(a.topic, published(15, old), { qos: 1, retain: true })
    await client.publishAsync(bare.topic, '15', { qos: 1, retain: true })
    const service = startService(temporaryFolder(), url, [a, bare])
    await refused(service, reasons.retained, 1)
    await stored(service, 1)
    expect(service.store.latest()).toMatchObject([{ sensor: 'a', at: old, value: 15 }])
    // the same sensor, live: the flag is only set on what the broker had kept
    await client.publishAsync(bare.topic, '16', { qos: 1, retain: true })
    await stored(service, 2)
    expect(service.store.latest().find(r => r.sensor === 'bare')).toMatchObject({ value: 16 })
  })

  it('what cannot be read is counted and kept to look at, and stops nothing', async () => {
    const url = await start()
    const service = startService(temporaryFolder(), url, [a, bare])
    await connected(service)
    const client = await publisher(url)
    await client.publishAsync(a.topic, published(20, Date.now() + 3_600_000), { qos: 1 })
    await client.publishAsync(a.topic, Buffer.from([0xff, 0x00, 0x80]), { qos: 1 })
    await client.publishAsync(a.topic, '', { qos: 1 })
    await client.publishAsync(a.topic, Buffer.alloc(70_000, 0x5b), { qos: 1 })
    await client.publishAsync(bare.topic, 'NaN', { qos: 0 })
    await client.publishAsync(bare.topic, '20.25', { qos: 1 })
    await stored(service, 1)
    const counts = { [reasons.future]: 1, [reasons.notJson]: 2, [reasons.tooLarge]: 1, [reasons.noValue]: 1 }
    expect(service.ingest.stats().refused).toEqual(counts)
    const kept = service.store.refusals()
    expect(Object.fromEntries(kept.counts.map(({ reason, count }) => [reason, count]))).toEqual(counts)
    expect(kept.samples.map(s => s.reason)).toContain(reasons.future)
    expect(kept.samples.find(s => s.reason === reasons.future)!.sample).toMatch(/3600 s ahead/)
  })

  it('what was published while the service was away arrives, late where it has a time, refused where not', async () => {
    const url = await start()
    const folder = temporaryFolder()
    const sensors = [a, bare]
    // a clock that does not run: however slow the machine, what waited arrives at once
    let time = now
    const clock = () => ({ clock: () => time })
    const first = startService(folder, url, sensors, clock)
    await connected(first)
    const client = await publisher(url)
    await client.publishAsync(bare.topic, '20', { qos: 1 })
    await stored(first, 1)
    await first.stop()
    for (let index = 1; index <= 20; index += 1) {
      await client.publishAsync(a.topic, published(20, now - 60_000 + index * 1000), { qos: 1 })
      await client.publishAsync(bare.topic, String(20 + index), { qos: 1 })
    }
    time += 60_000
    const second = startService(folder, url, sensors, clock)
    await stored(second, 21)
    await refused(second, reasons.waited, 20)
    // and then, at its own pace again, it is believed
    time += 150
    await client.publishAsync(bare.topic, '50', { qos: 1 })
    await stored(second, 22)
    expect(second.store.latest().find(r => r.sensor === 'bare')).toMatchObject({ value: 50 })
  })

  it('what cannot be committed is not acknowledged and comes again', async () => {
    const url = await start()
    let full = true
    const service = startService(temporaryFolder(), url, [a], store => ({
      store: {
        ...store,
        append(readings) {
          if (full) throw new Error('database or disk is full')
          return store.append(readings)
        },
      },
    }))
    await connected(service)
    const client = await publisher(url)
    for (let index = 0; index < 50; index += 1)
      await client.publishAsync(a.topic, published(20, now - 100_000 + index * 1000), { qos: 1 })
    await eventually(() => expect(service.ingest.stats().failedCommits).toBeGreaterThanOrEqual(2))
    expect(service.store.latest()).toEqual([])
    expect(service.states).toContain('away')
    full = false
    await stored(service, 50)
    expect(service.passed).toHaveLength(50)
    const { lines } = service.log
    expect(lines.filter(line => line.startsWith('error'))).toHaveLength(1)
    expect(lines.find(line => line.startsWith('error'))).toMatch(/cannot be stored: database or disk is full.*broker/)
    expect(lines.filter(line => line.includes('stored again'))).toHaveLength(1)
  })

  it('stopping in the middle of a stream loses and doubles nothing', async () => {
    const url = await start()
    const folder = temporaryFolder()
    const client = await publisher(url)
    const all = 3000
    let service = startService(folder, url, [a])
    await connected(service)
    const counted: number[] = []
    const publishing = (async () => {
      for (let number = 0; number < all; number += 100)
        await Promise.all(
          Array.from({ length: 100 }, (_, index) =>
            client.publishAsync(a.topic, published(20, now - 86_400_000 + number + index), { qos: 1 }),
          ),
        )
    })()
    for (let round = 0; round < 3; round += 1) {
      await pause(60)
      await service.stop()
      counted.push(service.passed.length)
      service = startService(folder, url, [a])
    }
    await publishing
    await stored(service, all)
    expect(counted.reduce((sum, count) => sum + count, 0) + service.passed.length).toBe(all)
  })
})

describe('the broker itself', () => {
  it('away at the start, then there, killed and back: the service connects by itself and says each thing once', async () => {
    const mosquitto = await startMosquitto()
    onTestFinished(() => mosquitto.remove())
    await mosquitto.stop()
    const service = startService(temporaryFolder(), mosquitto.url, [a])
    await pause(1500)
    expect(service.states).toEqual([])
    await mosquitto.start()
    await connected(service)
    const client = await publisher(mosquitto.url)
    const now = Date.now()
    for (let index = 0; index < 100; index += 1)
      await client.publishAsync(a.topic, published(20, now - 1_000_000 + index), { qos: 1 })
    await stored(service, 100)
    await mosquitto.kill()
    await eventually(() => expect(service.states.at(-1)).toBe('away'))
    await pause(700)
    await mosquitto.start()
    // killed, it has forgotten our session: only what is published from here on can be asked of it
    await eventually(() => expect(service.states).toEqual(['connected', 'away', 'connected']))
    for (let index = 0; index < 100; index += 1)
      await client.publishAsync(a.topic, published(20, now - 500_000 + index), { qos: 1 })
    await stored(service, 200)
    expect(service.states).toEqual(['connected', 'away', 'connected'])
    expect(service.ingest.stats().reconnects).toBe(1)
    const { lines } = service.log
    expect(lines.filter(line => line.includes('cannot be reached')).length).toBeLessThanOrEqual(2)
    expect(lines.filter(line => line.includes('Connected to the broker'))).toHaveLength(2)
  })

  it('restarted in order under load, nothing is lost and nothing doubled', async () => {
    const mosquitto = await startMosquitto()
    onTestFinished(() => mosquitto.remove())
    const service = startService(temporaryFolder(), mosquitto.url, [a])
    await connected(service)
    const client = await publisher(mosquitto.url)
    const start = Date.now() - 1_000_000
    const publishing: Promise<unknown>[] = []
    for (let number = 0; number < 2000; number += 1) {
      publishing.push(client.publishAsync(a.topic, published(20, start + number), { qos: 1 }))
      if (number % 20 === 19) await pause(5)
      if (number === 700) {
        await mosquitto.stop()
        await mosquitto.start()
      }
    }
    await Promise.all(publishing)
    await stored(service, 2000)
    expect(service.passed).toHaveLength(2000)
    const { points } = service.store.series('a', start - 900_000, start + 10_000, 1)
    expect(points.reduce((sum, { count }) => sum + count, 0)).toBe(2000)
  })

  it('that speaks only 3.1.1 is spoken to in 3.1.1, without a word of trouble', async () => {
    const broker = await startBroker({ port: 0 })
    onTestFinished(() => broker.stop())
    const service = startService(temporaryFolder(), broker.url, [a])
    await connected(service)
    expect(service.log.lines).toEqual([
      `info: Connected to the broker at mqtt://127.0.0.1:${broker.port} (MQTT 3.1.1), 1 topics.`,
    ])
  })

  it('that wants a password gets it, and the log never does', async () => {
    const broker = await startBroker({ port: 0, credentials: { user: 'iron', password: 'tongs-and-anvil' } })
    onTestFinished(() => broker.stop())
    const wrong = startService(temporaryFolder(), broker.url, [a], () => ({
      broker: { url: broker.url, user: 'iron', password: 'hammer-and-chisel' },
    }))
    await eventually(() => expect(wrong.log.lines.join()).toMatch(/Bad username or password|Not authorized/i))
    await pause(1500)
    expect(wrong.log.lines).toHaveLength(1)
    expect(wrong.states).toEqual([])
    expect(wrong.ingest.stats().reconnects).toBe(0)
    await wrong.stop()
    const right = startService(temporaryFolder(), broker.url, [a], () => ({
      broker: { url: broker.url, user: 'iron', password: 'tongs-and-anvil' },
    }))
    await connected(right)
    expect([...wrong.log.lines, ...right.log.lines].join()).not.toMatch(/anvil|chisel/)
  })

  it('that does not let us read a topic: the log says which', async () => {
    const aedes = await Aedes.createBroker({
      authorizeSubscribe: (_client, subscription, done) =>
        done(null, subscription.topic === b.topic ? null : subscription),
    })
    const server = createServer(aedes.handle)
    await new Promise<void>(resolve => server.listen(0, '127.0.0.1', resolve))
    onTestFinished(() => {
      aedes.close()
      server.close()
    })
    const url = `mqtt://127.0.0.1:${(server.address() as AddressInfo).port}`
    const service = startService(temporaryFolder(), url, [a, b])
    await connected(service)
    expect(service.log.lines.find(line => line.startsWith('error'))).toMatch(/1 of 2 topics.*shop\/b/)
    const client = await publisher(url)
    await client.publishAsync(a.topic, published(20, Date.now()), { qos: 1 })
    await stored(service, 1)
  })

  it('that still sends a topic the shop has given up is asked to stop', async () => {
    const mosquitto = await startMosquitto()
    onTestFinished(() => mosquitto.remove())
    const folder = temporaryFolder()
    const before = startService(folder, mosquitto.url, [a, b])
    await connected(before)
    await before.stop()
    const client = await publisher(mosquitto.url)
    await client.publishAsync(b.topic, published(20, Date.now()), { qos: 1 })
    const after = startService(folder, mosquitto.url, [a])
    await refused(after, reasons.unknownTopic, 1)
    await pause(100)
    await client.publishAsync(b.topic, published(20, Date.now()), { qos: 1 })
    await client.publishAsync(a.topic, published(20, Date.now()), { qos: 1 })
    await stored(after, 1)
    expect(after.ingest.stats().refused).toEqual({ [reasons.unknownTopic]: 1 })
  })

  it('with another service of the same name on it: the log says so', async () => {
    const mosquitto = await startMosquitto()
    onTestFinished(() => mosquitto.remove())
    const one = startService(temporaryFolder(), mosquitto.url, [a], () => ({ clientId: 'same' }))
    await connected(one)
    const two = startService(temporaryFolder(), mosquitto.url, [a], () => ({ clientId: 'same' }))
    await eventually(() =>
      expect([...one.log.lines, ...two.log.lines].join()).toMatch(/another client uses the name same/),
    )
  })

  it('that accepts and says nothing is given up on and tried again', async () => {
    const silent = createServer(socket => socket.on('error', () => undefined))
    await new Promise<void>(resolve => silent.listen(0, '127.0.0.1', resolve))
    const service = startService(temporaryFolder(), `mqtt://127.0.0.1:${(silent.address() as AddressInfo).port}`, [a])
    await eventually(() => expect(service.log.lines.join()).toMatch(/cannot be reached: connack timeout/))
    silent.close()
  })

  it('over TLS is believed only with the right certificate', async () => {
    const certificates = join(import.meta.dirname, 'certificates')
    const mosquitto = await startMosquitto([
      `cafile ${join(certificates, 'broker.pem')}`,
      `certfile ${join(certificates, 'broker.pem')}`,
      `keyfile ${join(certificates, 'broker-key.pem')}`,
    ])
    onTestFinished(() => mosquitto.remove())
    const url = mosquitto.url.replace('mqtt:', 'mqtts:')
    const doubtful = startService(temporaryFolder(), url, [a])
    await eventually(() => expect(doubtful.log.lines.join()).toMatch(/self-signed certificate/))
    const sure = startService(temporaryFolder(), url, [a], () => ({
      broker: brokerAddress(url, { QUIET_IRON_MQTT_CA: join(certificates, 'broker.pem') }),
    }))
    await connected(sure)
    expect(doubtful.states).toEqual([])
  })
})
