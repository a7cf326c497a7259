import { once } from 'node:events'
import { request } from 'node:http'
import { connect, type Socket } from 'node:net'
import { setTimeout as wait } from 'node:timers/promises'
import { describe, expect, it, onTestFinished } from 'vitest'
import { type LiveLimits, liveLimits } from '../../../server/http/live.js'
import { patience } from '../../patience.js'
import { appFor, machineState, now } from './fakes.js'

interface Event {
  id: string
  event: string
  data: string
  /** ms, when it arrived */
  arrived: number
}

/** a page that listens: reads the stream as the standard's event stream interpretation says, for the fields sent here */
const listen = async (port: number) => {
  const events: Event[] = []
  const asked = request({ port, host: '127.0.0.1', path: '/api/live' })
  asked.end()
  const [answer] = (await once(asked, 'response')) as [import('node:http').IncomingMessage]
  let text = ''
  let retry = ''
  let ended = false
  answer.setEncoding('utf8')
  answer.on('data', (chunk: string) => {
    text += chunk
    for (let end = text.indexOf('\n\n'); end >= 0; end = text.indexOf('\n\n')) {
      const fields = new Map(
        text
          .slice(0, end)
          .split('\n')
          .map(line => [line.slice(0, line.indexOf(': ')), line.slice(line.indexOf(': ') + 2)]),
      )
      retry = fields.get('retry') ?? retry
      events.push({
        id: fields.get('id') ?? '',
        event: fields.get('event') ?? '',
        data: fields.get('data') ?? '',
        arrived: Date.now(),
      })
      text = text.slice(end + 2)
    }
  })
  answer.on('end', () => {
    ended = true
  })
  answer.on('error', () => {})
  onTestFinished(() => {
    asked.destroy()
  })
  const until = async (there: () => boolean) => {
    const from = Date.now()
    while (!there() && Date.now() - from < patience) await wait(5)
    expect(there()).toBe(true)
  }
  return {
    events,
    headers: answer.headers,
    status: answer.statusCode,
    of: (event: string) => events.filter(e => e.event === event),
    until,
    retry: () => retry,
    ended: () => ended,
    leave: () => asked.destroy(),
  }
}

/** a page that asks and then reads nothing more */
const stall = async (port: number): Promise<{ socket: Socket; closed: () => boolean }> => {
  const socket = connect(port, '127.0.0.1')
  let closed = false
  socket.on('close', () => {
    closed = true
  })
  socket.on('error', () => {})
  await once(socket, 'connect')
  socket.pause()
  socket.write(`GET /api/live HTTP/1.1\r\nHost: 127.0.0.1:${port}\r\n\r\n`)
  onTestFinished(() => {
    socket.destroy()
  })
  return { socket, closed: () => closed }
}

const serve = async (limits: Partial<LiveLimits> = {}) => {
  const fixture = await appFor({}, {}, { ...liveLimits, ...limits })
  await fixture.app.listen({ host: '127.0.0.1', port: 0 })
  const address = fixture.app.server.address()
  if (address === null || typeof address === 'string') throw new Error('not listening')
  return { ...fixture, port: address.port }
}

describe('/api/live', () => {
  it('sends the whole state first, with the security headers and a time to come back after', async () => {
    const { port, monitor } = await serve()
    const page = await listen(port)
    await page.until(() => page.events.length === 1)
    expect(page.status).toBe(200)
    expect(page.headers).toMatchObject({
      'content-type': 'text/event-stream; charset=utf-8',
      'cache-control': 'no-store, no-transform',
      'x-content-type-options': 'nosniff',
    })
    expect(page.headers['content-security-policy']).toContain("default-src 'self'")
    expect(page.events[0]!.event).toBe('state')
    expect(JSON.parse(page.events[0]!.data)).toEqual({
      shop: monitor.state,
      machines: [monitor.machineNow],
      sensors: monitor.sensorsNow,
    })
    expect(Number(page.retry())).toBeGreaterThan(0)
  })

  it('sends changes, the changes of a machine joined to the last one', async () => {
    const { port, monitor } = await serve()
    const page = await listen(port)
    await page.until(() => page.events.length === 1)
    for (let i = 1; i <= 50; i++)
      monitor.tell({ machines: [machineState(now + i)], sensors: [monitor.sensorsNow[i % 2]!], shop: monitor.state })
    await page.until(() => page.of('shop').length === 1)
    await wait(250)
    expect(page.of('machine').map(e => JSON.parse(e.data).at)).toEqual([now + 50])
    expect(page.of('sensors')).toHaveLength(1)
    expect(JSON.parse(page.of('sensors')[0]!.data)).toHaveLength(2)
    const ids = page.events.map(e => Number(e.id))
    expect(ids).toEqual([...ids].sort((a, b) => a - b))
    expect(new Set(ids).size).toBe(ids.length)
  })

  it('sends nothing that did not change', async () => {
    const { port, monitor } = await serve()
    const page = await listen(port)
    await page.until(() => page.events.length === 1)
    monitor.tell({})
    monitor.tell({ sensors: [monitor.sensorsNow[0]!] })
    await page.until(() => page.events.length === 2)
    await wait(200)
    expect(page.events.map(e => e.event)).toEqual(['state', 'sensors'])
  })

  it('beats', async () => {
    const { port } = await serve({ beat: 60 })
    const page = await listen(port)
    await page.until(() => page.of('beat').length >= 3)
    expect(JSON.parse(page.of('beat')[0]!.data)).toEqual({ at: now })
    expect(liveLimits.beat).toBe(2000)
  })

  it('keeps a line break in a note within its event', async () => {
    const { port, monitor } = await serve()
    const page = await listen(port)
    await page.until(() => page.events.length === 1)
    monitor.tell({ machines: [machineState(now, '\n\nevent: beat\ndata: {}')] })
    await page.until(() => page.events.length === 2)
    expect(page.events[1]!.event).toBe('machine')
    expect(JSON.parse(page.events[1]!.data).classes[0].reasons[0].axis).toContain('\n\nevent')
  })

  it('serves two hundred pages at once and forgets those that leave', async () => {
    const { port, monitor, app } = await serve()
    const pages = await Promise.all(Array.from({ length: 200 }, () => listen(port)))
    monitor.tell({ machines: [machineState(now + 1)] })
    await Promise.all(pages.map(page => page.until(() => page.of('machine').length === 1)))
    const gauge = async () =>
      /quiet_iron_live_pages (\d+)/.exec(
        (await app.inject({ url: '/metrics', headers: { host: 'localhost' } })).body,
      )?.[1]
    expect(await gauge()).toBe('200')
    for (const page of pages) page.leave()
    await wait(200)
    expect(await gauge()).toBe('0')
  })

  it('refuses more pages than it can serve', async () => {
    const { port } = await serve({ clients: 2 })
    await listen(port)
    await listen(port)
    const third = await listen(port)
    expect(third.status).toBe(503)
  })

  it('cuts off a page that does not read, and serves the others on', async () => {
    const { port, monitor, app } = await serve({ delay: 1, unread: 200_000 })
    const stalled = await stall(port)
    const page = await listen(port)
    await page.until(() => page.events.length === 1)
    const long = 'x'.repeat(100_000)
    // the system's own buffers take some megabytes before anything waits here
    let told = 0
    const metrics = async () => (await app.inject({ url: '/metrics', headers: { host: 'localhost' } })).body
    while (told < 400 && !(await metrics()).includes('quiet_iron_live_cut_off 1')) {
      monitor.tell({ machines: [machineState(now + ++told, long)] })
      await wait(3)
    }
    expect(await metrics()).toContain('quiet_iron_live_cut_off 1\n')
    expect(await metrics()).toContain('quiet_iron_live_pages 1\n')
    stalled.socket.resume()
    await page.until(() => stalled.closed())
    await page.until(() => JSON.parse(page.events.at(-1)!.data).at === now + told)
    expect(page.ended()).toBe(false)
  })

  it('ends every page when the app closes, the one that reads and the one that does not', async () => {
    const { port, monitor, app } = await serve({ delay: 1, unread: 100_000_000, farewell: 200 })
    const page = await listen(port)
    await page.until(() => page.events.length === 1)
    await stall(port)
    for (let i = 0; i < 200; i++) {
      monitor.tell({ machines: [machineState(now + i, 'x'.repeat(100_000))] })
      await wait(2)
    }
    // without a farewell it would wait for the one that does not read
    await app.close()
    await page.until(() => page.ended())
    expect(monitor.listeners.size).toBe(0)
  })
})
