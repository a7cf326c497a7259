import { readFileSync } from 'node:fs'
import { createServer } from 'node:net'
import { connectAsync } from 'mqtt'
import { describe, expect, it, onTestFinished } from 'vitest'
import { shownMachine } from '../../server/http/schemas/answers.js'
import type { Reading } from '../../server/ingest/reading.js'
import type { Service, ServiceOptions } from '../../server/service.js'
import type { Settings } from '../../server/settings/index.js'
import { openStore } from '../../server/store/sqlite.js'
import { until } from '../eventually.js'
import { settingsFor, started } from '../serving.js'
import { temporaryFolder } from '../temporary-folder.js'
import { shop } from './http/fakes.js'

const minute = 60_000

const settingsIn = (data: string, more: Partial<Settings> = {}): Settings => settingsFor({ data, ...more })

const serve = async (settings: Settings, options: Partial<ServiceOptions> = {}) => {
  const service = await started({ shop, ...options }, settings)
  const get = async (path: string) => (await fetch(`${service.url}${path}`)).json()
  return { service, get }
}

/** two hours of a machine at rest: every sensor once a minute, up to `now` */
const restingReadings = (now: number): Reading[] =>
  shop.sensors.flatMap(sensor =>
    Array.from({ length: 120 }, (_, i) => {
      const at = Math.floor(now) - (119 - i) * minute
      // its offset of 0.5 K brings the one sensor up to the others
      return { sensor: sensor.id, at, value: sensor.unit === 'state' ? 0 : 20 - sensor.offset, receivedAt: at }
    }),
  )

const stored = (data: string, readings: readonly Reading[]) => {
  const store = openStore(data)
  store.append(readings)
  store.close()
}

describe('the service', () => {
  it('keeps over a restart that a sensor is suspect, why and since when', async () => {
    const data = temporaryFolder()
    stored(data, restingReadings(Date.now()))
    const first = await serve(settingsIn(data))
    const client = await connectAsync(first.service.broker.url)
    await until(
      () => first.get('/healthz'),
      health => health.broker === 'connected',
    )
    const screw = (service: Service) => service.monitor.sensors().find(({ sensor }) => sensor === 's-screw')!
    // its second reading in a row counts; two that arrive in one millisecond are one
    const { since } = await until(
      async () => {
        await client.publishAsync('t/s-screw', '-127', { qos: 1 })
        return screw(first.service)
      },
      ({ trust }) => trust === 'suspect',
    )
    const before = await until(
      async () => {
        await client.publishAsync('t/s-screw', '20', { qos: 1 })
        return screw(first.service)
      },
      ({ fault }) => fault?.kind === 'earning' && fault.goodSince !== null,
    )
    expect(before.since).toBe(since)
    await client.endAsync(true)
    await first.service.stop()
    const again = await serve(settingsIn(data))
    expect(screw(again.service)).toMatchObject({ trust: 'suspect', since, fault: before.fault })
  })

  it('takes a reading from the broker to the pages within a second', async () => {
    const { service, get } = await serve(settingsIn(temporaryFolder()))
    const client = await connectAsync(service.broker.url)
    onTestFinished(() => client.endAsync(true))
    await until(
      () => get('/healthz'),
      health => health.broker === 'connected',
    )
    const stream = await fetch(`${service.url}/api/live`)
    const reader = stream.body!.pipeThrough(new TextDecoderStream()).getReader()
    onTestFinished(() => reader.cancel())
    await reader.read()

    await client.publishAsync('t/s-screw', '21.25', { qos: 1 })
    let text = ''
    while (!/event: sensors\ndata: .*"value":21.75/.test(text)) {
      const { value, done } = await reader.read()
      if (done) throw new Error(`no such event: ${text}`)
      text += value
    }
    const { sensors } = await get('/api/sensors')
    expect(sensors[1]).toMatchObject({ sensor: 's-screw', value: 21.75, trust: 'ok' })
    expect(service.store.latest()).toMatchObject([{ sensor: 's-screw', value: 21.25 }])
  })

  it('knows its machines at once after a start, from what was stored', async () => {
    const data = temporaryFolder()
    const now = Date.now()
    stored(data, restingReadings(now))
    const { get } = await serve(settingsIn(data))
    const { machines } = await get('/api/machines')
    expect(shownMachine.parse(machines[0])).toEqual(machines[0])
    expect(machines[0].nodes.map((n: { trust: string }) => n.trust)).toEqual(['ok', 'ok', 'ok'])
    expect(machines[0].classes[0].verdict).not.toBe('unknown')
    expect(machines[0].classes[0].thermalErrorIndex).toBeGreaterThan(0)
    const { axes } = await get('/api/machines/mill/growth')
    // α = 11.5e-6/K; X screw and column both at 20 °C: no growth
    expect(Math.abs(axes[0].points.at(-1).atWork)).toBeLessThan(1e-9)
  })

  it('stores verdicts as they change, and does not store again after a new start what stands', async () => {
    const data = temporaryFolder()
    stored(data, restingReadings(Date.now()))
    const first = await serve(settingsIn(data))
    const { verdicts } = await first.get('/api/machines/mill/verdicts')
    expect(verdicts).toHaveLength(1)
    await first.service.stop()
    const second = await serve(settingsIn(data))
    const again = await second.get('/api/machines/mill/verdicts')
    expect(again.verdicts[0]).toEqual(verdicts[0])
    expect(again.verdicts.filter((v: { verdict: string }) => v.verdict === verdicts[0].verdict)).toHaveLength(1)
  })

  it('keeps a datum over a new start', async () => {
    const data = temporaryFolder()
    stored(data, restingReadings(Date.now()))
    const first = await serve(settingsIn(data))
    const reply = await fetch(`${first.service.url}/api/machines/mill/datums`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ by: 'Ada', note: 'first part proved' }),
    })
    expect(reply.status).toBe(201)
    const datum = await reply.json()
    await first.service.stop()
    const second = await serve(settingsIn(data))
    expect((await second.get('/api/machines/mill')).datum).toEqual(datum)
  })

  it('makes a token when others can reach it, and takes no write without', async () => {
    const data = temporaryFolder()
    stored(data, restingReadings(Date.now()))
    const { service } = await serve(settingsIn(data, { host: '0.0.0.0' }))
    const url = new URL(service.url)
    url.hostname = '127.0.0.1'
    expect(service.tokenFile).toMatch(/write-token$/)
    const post = (authorization: string) =>
      fetch(`${url.origin}/api/machines/mill/datums`, {
        method: 'POST',
        headers: { 'content-type': 'application/json', authorization },
        body: JSON.stringify({ by: 'Ada' }),
      })
    expect((await post('')).status).toBe(401)
    expect(await service.store.facts.of('datum', { subject: 'mill' })).toEqual([])
    expect((await post(`Bearer ${readFileSync(service.tokenFile!, 'utf8').trim()}`)).status).toBe(201)
  })

  it('needs no token on loopback, and takes the one it is given', async () => {
    const { service } = await serve(settingsIn(temporaryFolder()))
    expect(service.tokenFile).toBeNull()
    const other = await serve(settingsIn(temporaryFolder(), { host: '0.0.0.0', token: 'x'.repeat(20) }))
    expect(other.service.tokenFile).toBeNull()
  })

  it('says in words that a port is taken, and leaves nothing running', async () => {
    const taken = createServer().listen(0, '127.0.0.1')
    await new Promise(resolve => taken.once('listening', resolve))
    onTestFinished(() => {
      taken.close()
    })
    const { port } = taken.address() as { port: number }
    const data = temporaryFolder()
    await expect(serve(settingsIn(data, { port }))).rejects.toThrow(/on 127\.0\.0\.1, port \d+\. .*--port/)
    openStore(data).close()
  })

  it('stops: the port is free, the folder too, and a page that listens is let go', async () => {
    const data = temporaryFolder()
    const { service } = await serve(settingsIn(data))
    const stream = await fetch(`${service.url}/api/live`)
    const reader = stream.body!.getReader()
    await reader.read()
    await Promise.all([service.stop(), service.stop()])
    await until(
      () => reader.read(),
      ({ done }) => done,
    )
    await expect(fetch(`${service.url}/healthz`)).rejects.toThrow()
    openStore(data).close()
  })
})

describe('while a history is filled in', () => {
  const day = 86_400_000
  const filling = async () => {
    const now = Date.now()
    const fast = { ...shop, sensors: shop.sensors.map(sensor => ({ ...sensor, interval: 10 })) }
    const from = now - day
    const { service, get } = await serve(settingsIn(temporaryFolder()), { shop: fast, history: { from, interval: 60 } })
    const client = await connectAsync(service.broker.url)
    onTestFinished(() => client.endAsync(true))
    await until(
      () => get('/healthz'),
      health => health.broker === 'connected',
    )
    return { service, get, client, now, from }
  }

  it('time is the readings own, and a sensor that reports as the history does is not late', async () => {
    const { service, get, from } = await filling()
    expect(service.now()).toBe(from)
    expect((await get('/api/machines')).at).toBe(from)
    // as the ingest passes on what it has stored
    service.monitor.take(
      service.store.append(
        shop.sensors.map(s => ({ sensor: s.id, at: from + minute, value: 20, receivedAt: Date.now() })),
      ),
    )
    service.monitor.advance(from + 1.9 * minute)
    expect(service.monitor.sensors().map(s => s.trust)).toEqual(['ok', 'ok', 'ok', 'ok'])
    service.monitor.advance(from + 4 * minute)
    expect(service.monitor.sensors().map(s => s.trust)).toEqual(['late', 'late', 'late', 'late'])
    expect((await get('/api/shop')).shop.sensors[0].interval).toBe(10)
  })

  it('time is the clock afterwards, and sensors are late by their own interval again', async () => {
    const { service, get } = await filling()
    expect(service.monitor.shop().filling).toBe(0)
    service.historyFilled()
    const before = Date.now()
    const now = service.now()
    expect(now).toBeGreaterThanOrEqual(before)
    expect(now).toBeLessThanOrEqual(Date.now())
    expect(service.monitor.shop().filling).toBeNull()
    const at = Date.now()
    service.monitor.take([{ sensor: 's-air', at, value: 20, receivedAt: at }])
    service.monitor.advance(at + 30_000)
    expect(service.monitor.sensors()[0]!.trust).toBe('late')
    expect((await get('/healthz')).filling).toBeNull()
  })
})
