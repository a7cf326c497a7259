import { readdirSync, readlinkSync } from 'node:fs'
import { get, type IncomingMessage } from 'node:http'
import type { Readable } from 'node:stream'
import { buffer } from 'node:stream/consumers'
import { Worker } from 'node:worker_threads'
import { pino } from 'pino'
import { describe, expect, it, onTestFinished, vi } from 'vitest'
import type { Reading } from '../../../server/ingest/reading.js'
import { openStore } from '../../../server/store/sqlite.js'
import { createBesideWorker } from '../../../server/worker/index.js'
import { started } from '../../serving.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { appFor, local, shop } from './fakes.js'

const hour = 3_600_000
/** Monday 2 March 2026, 08:00 UTC */
const now = Date.UTC(2026, 2, 2, 8)

const costly = [
  '/api/readings',
  '/api/sensors/courses',
  '/api/series?sensors=s-air,s-screw',
  '/api/machines/mill/growth',
  '/api/machines/mill/verdicts',
  '/api/machines/mill/environment',
  '/api/machines/mill/sources',
  '/api/machines/mill/learning',
  '/api/calibration/check?sensors=all',
]

const serve = async () => {
  const data = temporaryFolder()
  const service = await started({ shop, clock: () => now }, { data })
  return { service, data }
}

const readingsOf = (count: number, from: number): Reading[] =>
  Array.from({ length: count }, (_, i) => ({
    sensor: shop.sensors[i % 3]!.id,
    at: from + i * 1000,
    value: 20 + (i % 7) / 16,
    receivedAt: from + i * 1000,
  }))

/** begun, and not read from */
const begun = (url: string) =>
  new Promise<IncomingMessage>((resolve, reject) => {
    get(url, resolve).on('error', reject)
  })

/** how often this process holds the database open */
const handles = (data: string) =>
  readdirSync('/proc/self/fd').filter(fd => {
    try {
      return readlinkSync(`/proc/self/fd/${fd}`) === `${data}/quiet-iron.db`
    } catch {
      return false
    }
  }).length

describe('what looks at the past', () => {
  it('is not asked of the service itself once its reader has gone half way', async () => {
    const { service } = await serve()
    const { store } = service
    store.append(readingsOf(200_000, now - 60 * hour))
    const here = vi.spyOn(store, 'readings')
    const reply = await begun(`${service.url}/api/readings?from=0`)
    await new Promise(resolve => reply.once('data', resolve))
    reply.destroy()
    // when the next export may begin, the one before has ended
    await expect.poll(async () => (await fetch(`${service.url}/api/readings?from=${now}`)).status).toBe(200)
    expect(here).not.toHaveBeenCalled()
  })
  it('is answered on a thread of its own, and sees what is sealed and what waits in the journal', async () => {
    const { service } = await serve()
    const { store } = service
    store.append(readingsOf(5400, now - 3 * hour))
    while (store.sealSome(now - hour));
    store.append(readingsOf(5400, now - 1.5 * hour))
    const whole = [...store.readings(0, now)].flat()
    const expected = store.series('s-air', now - 24 * hour, now, 500)
    const here = [vi.spyOn(store, 'series'), vi.spyOn(store, 'readings')]
    const facts = vi.spyOn(store.facts, 'of')
    for (const path of costly) {
      const reply = await fetch(`${service.url}${path}`)
      const text = await reply.text()
      expect([path, reply.status, text]).toEqual([path, 200, text])
      if (path.startsWith('/api/series')) expect(JSON.parse(text).series[0].points).toEqual(expected.points)
      if (path === '/api/readings') expect(text.split('\r\n')).toHaveLength(whole.length + 2)
    }
    for (const each of here) expect(each).not.toHaveBeenCalled()
    // by itself the service looks every five seconds whether there are measured parts, for which it would ask ahead
    expect(facts.mock.calls.filter(([kind]) => !kind.startsWith('inspection import'))).toEqual([])
  })

  it('is asked of the thread by writes that stand on it, too', async () => {
    const { service } = await serve()
    service.store.append(readingsOf(10_800, now - 3 * hour))
    const here = vi.spyOn(service.store, 'series')
    const headers = { 'content-type': 'application/json' }
    const write = async (path: string, body: object) => {
      const reply = await fetch(`${service.url}${path}`, { method: 'POST', headers, body: JSON.stringify(body) })
      return { status: reply.status, what: (await reply.json()).error.what }
    }
    const offsets = { by: 'Ada', where: 'box', from: now - 2 * hour, to: now, accept: [{ sensor: 's-air', offset: 3 }] }
    expect(await write('/api/calibration/offsets', { ...offsets, sensors: 'all' })).toMatchObject({
      status: 409,
      what: expect.stringMatching(/not the offset that the readings now propose/),
    })
    expect(await write('/api/calibration/offsets', { ...offsets, sensors: 'boiler' })).toMatchObject({ status: 404 })
    expect(await write('/api/machines/mill/factors', { by: 'Ada', factors: { column: 1.1 } })).toMatchObject({
      status: 409,
      what: expect.stringMatching(/too few days/),
    })
    expect(here).not.toHaveBeenCalled()
  })

  it('is answered with the offset that was accepted last', async () => {
    const { service } = await serve()
    service.store.append([{ sensor: 's-air', at: now - hour, value: 20, receivedAt: now }])
    const value = async () =>
      (await (await fetch(`${service.url}/api/series?sensors=s-air`)).json()).series[0].points[0].mean
    expect(await value()).toBe(20)
    await service.store.facts.record('offset', [
      { sensor: 's-air', at: now, by: 'Ada', note: '', oldOffset: 0, newOffset: 0.25, takesBack: null, found: null },
    ])
    expect(await value()).toBe(20.25)
  })

  it('says what is wrong with a question as ever', async () => {
    const { service } = await serve()
    const reply = await fetch(`${service.url}/api/series?sensors=boiler`)
    expect(reply.status).toBe(404)
    expect((await reply.json()).error.what).toMatch(/boiler/)
    expect((await fetch(`${service.url}/api/series?sensors=s-air&points=x`)).status).toBe(400)
  })

  it('fails with words when the thread cannot read the database, and goes on afterwards', async () => {
    const { service, data } = await serve()
    const { renameSync } = await import('node:fs')
    renameSync(`${data}/quiet-iron.db`, `${data}/elsewhere.db`)
    expect((await fetch(`${service.url}/api/sensors/courses`)).status).toBe(503)
    renameSync(`${data}/elsewhere.db`, `${data}/quiet-iron.db`)
    expect((await fetch(`${service.url}/api/sensors/courses`)).status).toBe(200)
  })
})

describe('an export', () => {
  it('runs alone, and ends when its reader goes: then the next one may begin', async () => {
    const { service, data } = await serve()
    service.store.append(readingsOf(100_000, now - 30 * hour))
    const url = `${service.url}/api/readings?from=0`
    const lengthOf = (await (await fetch(url)).text()).length
    expect(lengthOf).toBeGreaterThan(100_000 * 50)
    const before = handles(data)
    const first = await begun(url)
    expect(first.statusCode).toBe(200)
    const second = await fetch(url)
    expect(second.status).toBe(503)
    expect(second.headers.get('retry-after')).toBe('30')
    expect((await second.json()).error).toMatchObject({ what: expect.stringMatching(/exported/), remedy: /Try again/ })
    // what is no export is answered meanwhile
    expect((await fetch(`${service.url}/api/sensors/courses`)).status).toBe(200)
    first.destroy()
    const next = async () => {
      const reply = await begun(url)
      reply.destroy()
      return reply.statusCode
    }
    for (let n = 0; n < 5; n++) await expect.poll(next).toBe(200)
    // a reader that was let go of is taken up again; SQLite keeps its file open until then
    expect(handles(data)).toBeLessThanOrEqual(before + 2)
    await expect.poll(async () => (await fetch(url)).text()).toHaveLength(lengthOf)
  })
})

describe('HEAD', () => {
  it.each([...costly, '/api/series?sensors=s-air&format=csv'])('%s computes nothing', async url => {
    const { app, store } = await appFor()
    const asked = [vi.spyOn(store, 'series'), vi.spyOn(store, 'readings'), vi.spyOn(store.facts, 'of')]
    const reply = await app.inject({ method: 'HEAD', url, headers: local })
    expect(reply.statusCode).toBe(200)
    expect(reply.headers['content-type']).toMatch(/csv|readings/.test(url) ? /^text\/csv/ : /^application\/json/)
    for (const each of asked) expect(each).not.toHaveBeenCalled()
  })
})

describe('another site', () => {
  const headers = [
    { 'sec-fetch-site': 'cross-site' },
    { 'sec-fetch-site': 'same-site' },
    { origin: 'http://a.example' },
  ]
  it.each(headers)('sets off nothing: %o', async foreign => {
    const { app, store } = await appFor()
    const asked = vi.spyOn(store, 'series')
    for (const url of [...costly, '/api/machines/mill/forecast', '/api/machines', '/api/live', '/metrics'])
      for (const method of ['GET', 'HEAD'] as const) {
        const reply = await app.inject({ method, url, headers: { ...local, ...foreign } })
        expect([url, reply.statusCode]).toEqual([url, 403])
      }
    expect(asked).not.toHaveBeenCalled()
  })

  it('is told from our own pages, from the address bar and from programs', async () => {
    const { app } = await appFor()
    for (const own of [{ 'sec-fetch-site': 'same-origin' }, { 'sec-fetch-site': 'none' }, {}])
      for (const url of costly.filter(path => !path.includes('calibration'))) {
        const reply = await app.inject({ url, headers: { ...local, ...own } })
        expect([url, reply.statusCode]).toEqual([url, 200])
      }
  })
})

it('takes only so many questions at once, and says when to ask again', async () => {
  const answers: (() => void)[] = []
  const { app } = await appFor(
    {},
    {
      beside: {
        ask: () =>
          new Promise((_, reject) => {
            answers.push(() => reject(new Error('enough')))
          }),
      },
    },
  )
  const asked = Array.from({ length: 40 }, () => app.inject({ url: '/api/sensors/courses', headers: local }))
  await expect.poll(() => answers.length).toBe(40)
  const reply = await app.inject({ url: '/api/sensors/courses', headers: local })
  expect(reply.statusCode).toBe(503)
  expect(reply.headers['retry-after']).toBe('5')
  for (const answer of answers) answer()
  await Promise.all(asked)
})

it('lets the thread go after five minutes without work, and never while it works', async () => {
  const folder = temporaryFolder()
  openStore(folder).close()
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] })
  onTestFinished(() => void vi.useRealTimers())
  const ended = vi.spyOn(Worker.prototype, 'terminate')
  onTestFinished(() => ended.mockRestore())
  const beside = createBesideWorker({ folder, shop })
  onTestFinished(() => beside.stop())
  const url = '/api/sensors/courses'
  const whole = async ({ body }: { body: Readable }) => buffer(body)
  for (let i = 0; i < 3; i++) await whole(await beside.ask(url, now))
  vi.advanceTimersByTime(299_000)
  // its answer is not read yet when the five minutes after the ones before it are over
  const busy = await beside.ask(url, now)
  vi.advanceTimersByTime(60_000)
  expect(ended).not.toHaveBeenCalled()
  expect((await whole(busy)).length).toBeGreaterThan(0)
  await new Promise(resolve => setImmediate(resolve))
  vi.advanceTimersByTime(299_000)
  expect(ended).not.toHaveBeenCalled()
  vi.advanceTimersByTime(2000)
  expect(ended).toHaveBeenCalledTimes(1)
})

it('refuses what a stop leaves unanswered, which is no failure for the log; one of the thread is', async () => {
  const lines: { level: number; msg: string }[] = []
  const logger = pino({ level: 'warn' }, { write: (json: string) => lines.push(JSON.parse(json)) })
  const posted = vi.spyOn(Worker.prototype, 'postMessage')
  const beside = createBesideWorker({ folder: temporaryFolder(), shop })
  const { app } = await appFor({}, { beside, logger })
  const asked = app.inject({ url: '/api/sensors/courses', headers: local })
  await expect.poll(() => posted.mock.calls.length).toBe(1)
  await beside.stop()
  const reply = await asked
  expect(reply.statusCode).toBe(503)
  expect(reply.json().error.what).toBe('The service stops.')
  expect(lines).toEqual([])
  // there is no database in that folder
  await app.inject({ url: '/api/sensors/courses', headers: local })
  expect(lines).toMatchObject([{ level: 50, msg: 'a request failed' }])
  await beside.stop()
})
