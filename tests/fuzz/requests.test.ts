import { mkdirSync, writeFileSync } from 'node:fs'
import { type AddressInfo, connect } from 'node:net'
import { join } from 'node:path'
import fc from 'fast-check'
import { expect, it, onTestFinished } from 'vitest'
import { createActions } from '../../server/actions/index.js'
import { createApp } from '../../server/http/app.js'
import { liveLimits } from '../../server/http/live.js'
import { recoveredMonitor } from '../../server/recovery.js'
import { openStore } from '../../server/store/sqlite.js'
import { createJobAnswers } from '../../server/studies/morning/job-answers.js'
import { seedFor } from '../seed.js'
import { nightKept, shop } from '../server/http/fakes.js'
import { temporaryFolder } from '../temporary-folder.js'
import { operationsIn, type Request, request, wire } from './requests.js'

const requests = 50_000
const connections = 3000
const secret = 'the secret lies outside of the pages'

/** the HTTP interface on a real database with a day of readings, and a real monitor */
const serve = async () => {
  const folder = temporaryFolder()
  const pages = join(folder, 'web')
  mkdirSync(join(pages, 'assets'), { recursive: true })
  writeFileSync(join(pages, 'index.html'), '<!doctype html><title>pages</title>')
  writeFileSync(join(folder, 'secret.txt'), secret)
  const store = openStore(join(folder, 'data'))
  onTestFinished(() => store.close())
  const now = Date.now()
  const minutes = Array.from({ length: 1440 }, (_, index) => now - index * 60_000)
  store.append(
    minutes.flatMap(at =>
      shop.sensors.map(({ id, unit }) => ({
        sensor: id,
        at,
        value: unit === 'state' ? 0 : 20 + Math.sin(at / 1e7),
        receivedAt: at,
      })),
    ),
  )
  const monitor = await recoveredMonitor(shop, store, now)
  monitor.setBroker('connected')
  monitor.advance(now)
  const night = nightKept({ shop, store }, now)
  const app = await createApp(
    {
      shop,
      monitor,
      store,
      ingestStats: () => ({}),
      ingestWaiting: () => 0,
      heating: { now: async () => null },
      night,
      unassigned: () => ({ topics: [], count: 0, beyond: 0 }),
      storeNotes: () => ({ damaged: [], unclaimed: { sensors: [], machines: [], workClasses: [] } }),
      storeBytes: () => 0,
      keptSince: store.keptSince,
      actions: createActions({
        shop: () => shop,
        store,
        monitor,
        knownSpindle: async () => null,
        fileSensors: () => shop.sensors,
        clock: () => now,
      }),
      jobAnswers: createJobAnswers({ shop, store, monitor, clock: () => now }),
      uploads: join(temporaryFolder(), 'uploads'),
      settings: { host: '127.0.0.1', token: null, pages },
      clock: () => now,
      version: 'fuzz',
    },
    liveLimits,
  )
  onTestFinished(() => app.close())
  return app
}

/** @returns what is wrong with an answer; empty when it is as it must be */
const fault = (method: string, status: number, type: string, body: string): string => {
  if (status >= 500) return `status ${status}`
  if (body.includes(secret)) return 'it gives away what lies outside of the pages'
  if (status < 400 || method === 'HEAD') return ''
  if (!type.startsWith('application/json')) return `a refusal (${status}) as ${type}`
  const { error } = JSON.parse(body) as { error?: Record<string, unknown> }
  const words = [error?.what, error?.where, error?.remedy]
  return words.every(part => typeof part === 'string' && part.length > 0)
    ? ''
    : `a refusal (${status}) that says ${body}`
}

it(`${requests} hostile requests to all routes: refused in words, never a failure, and it still answers`, async () => {
  const app = await serve()
  const document = (await app.inject({ url: '/api/openapi.json', headers: { host: '127.0.0.1' } })).json()
  // the stream never ends: it has its turn on real connections
  const operations = operationsIn(document).filter(({ path }) => path !== '/api/live')
  expect(operations.length).toBeGreaterThan(15)
  const counts = new Map<number, number>()
  const faults: string[] = []
  let number = 0
  const ask = async ({ method, url, headers, body }: Request) => {
    number += 1
    const reply = await app.inject({
      method: method as 'GET',
      url,
      headers,
      ...(body === undefined ? {} : { payload: body }),
      // each from an address of its own, or the limit of writes would answer most
      remoteAddress: `10.${(number >> 16) & 255}.${(number >> 8) & 255}.${number & 255}`,
    })
    counts.set(reply.statusCode, (counts.get(reply.statusCode) ?? 0) + 1)
    const wrong = fault(method, reply.statusCode, String(reply.headers['content-type']), reply.body)
    if (wrong !== '')
      faults.push(
        `${method} ${url.slice(0, 200)} ${JSON.stringify(headers).slice(0, 200)} ${body?.slice(0, 200)}: ${wrong}`,
      )
  }
  const seed = seedFor('requests')
  const drawn = request(operations)
  for (let part = 0; part < 50; part += 1)
    for (const each of fc.sample(drawn, { numRuns: requests / 50, seed: seed + part })) await ask(each)
  console.log(
    `${number} requests; ${[...counts]
      .sort((a, b) => a[0] - b[0])
      .map(pair => pair.join(' × '))
      .join(', ')}`,
  )
  expect(faults.slice(0, 10)).toEqual([])
  expect(number).toBe(requests)
  // not all of them may have been turned away at the door
  expect(counts.get(200)).toBeGreaterThan(requests / 100)
  for (const url of ['/healthz', '/api/machines', '/api/sensors', '/'])
    expect((await app.inject({ url, headers: { host: '127.0.0.1' } })).statusCode).toBe(200)
})

const answerTo = (port: number, bytes: Buffer): Promise<string> =>
  new Promise(resolve => {
    const socket = connect(port, '127.0.0.1')
    let text = ''
    const done = () => {
      clearTimeout(timer)
      socket.destroy()
      resolve(text)
    }
    // what is no whole request is waited for by the server, and not by us
    let timer = setTimeout(done, 1000)
    socket.on('data', (part: Buffer) => {
      text += part.toString('latin1')
      clearTimeout(timer)
      timer = setTimeout(done, 50)
    })
    socket.on('error', done)
    socket.on('close', done)
    socket.on('connect', () => socket.write(bytes))
  })

it(`${connections} connections with bytes that are nearly HTTP: no failure, nothing given away, and it still answers`, async () => {
  const app = await serve()
  await app.listen({ host: '127.0.0.1', port: 0 })
  const { port } = app.server.address() as AddressInfo
  const all = fc.sample(wire, { numRuns: connections, seed: seedFor('connections') })
  const faults: string[] = []
  const counts = new Map<string, number>()
  const ask = async (bytes: Buffer) => {
    const answer = await answerTo(port, bytes)
    const status = /^HTTP\/1\.1 (\d+)/.exec(answer)?.[1] ?? 'none'
    counts.set(status, (counts.get(status) ?? 0) + 1)
    const [head = '', ...rest] = answer.split('\r\n\r\n')
    const type = /content-type: (.*)/i.exec(head)?.[1] ?? ''
    const isHead = bytes.toString('latin1').startsWith('HEAD')
    const wrong = status === 'none' ? '' : fault(isHead ? 'HEAD' : 'GET', Number(status), type, rest.join('\r\n\r\n'))
    if (wrong !== '') faults.push(`${JSON.stringify(bytes.toString('latin1').slice(0, 200))}: ${wrong}`)
  }
  for (let first = 0; first < all.length; first += 20) await Promise.all(all.slice(first, first + 20).map(ask))
  console.log(`${connections} connections; ${[...counts].map(pair => pair.join(' × ')).join(', ')}`)
  expect(faults.slice(0, 10)).toEqual([])
  expect((await fetch(`http://127.0.0.1:${port}/api/machines`)).status).toBe(200)
})
