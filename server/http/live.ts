import type { ServerResponse } from 'node:http'
import type { MachineState, SensorState } from '../../core/state.js'
import type { Monitor, MonitorChange } from '../monitor/monitor.js'

export interface LiveLimits {
  /** ms from a change to its event, in which further changes of the same machine are joined */
  delay: number
  /** where sending takes long, the next one waits so many times as long, at most a second */
  restTimes: number
  /** ms, the same while the demo fills its history and everything changes all the time */
  fillingDelay: number
  /** ms between beats */
  beat: number
  /** bytes a page may leave unread; above it (and above four whole states) it is cut off */
  unread: number
  /** pages at once */
  clients: number
  /** ms that pages get to take what is left when the service stops */
  farewell: number
}

export const liveLimits: LiveLimits = {
  delay: 50,
  restTimes: 4,
  fillingDelay: 500,
  beat: 2000,
  unread: 250_000,
  clients: 500,
  farewell: 500,
}

/** ms */
const longestDelay = 1000

/** Sends what the monitor tells to every page that listens. */
export interface Live {
  /** takes over a response whose head is written */
  join(response: ServerResponse): void
  /** there are too many pages already */
  readonly full: boolean
  readonly clients: number
  /** pages cut off because they did not read, since the start */
  readonly cutOff: number
  close(): Promise<void>
}

export const createLive = (monitor: Monitor, clock: () => number, limits: LiveLimits = liveLimits): Live => {
  const clients = new Set<ServerResponse>()
  let cutOff = 0
  let serial = 0
  let unreadBound = limits.unread
  let machines = new Map<string, MachineState>()
  let sensors = new Map<string, SensorState>()
  let shopChanged = false
  let anew = false
  let timer: NodeJS.Timeout | undefined
  /** ms; what the last sending took */
  let took = 0
  let filling = monitor.shop().filling !== null

  // JSON text has no line breaks, so one data line holds it
  const event = (name: string, data: unknown) => `id: ${++serial}\nevent: ${name}\ndata: ${JSON.stringify(data)}\n\n`

  const send = (client: ServerResponse, text: string | Buffer) => {
    client.write(text)
    if (client.writableLength <= unreadBound) return
    // the page comes back by itself and gets the whole state anew
    cutOff += 1
    clients.delete(client)
    client.destroy()
  }

  const flush = () => {
    timer = undefined
    const begun = performance.now()
    let text = ''
    for (const machine of machines.values()) text += event('machine', machine)
    if (sensors.size > 0) text += event('sensors', [...sensors.values()])
    if (shopChanged) text += event('shop', monitor.shop())
    // what is gone must not stay on a page
    if (anew) text = event('anew', {}) + state()
    anew = false
    machines = new Map()
    sensors = new Map()
    shopChanged = false
    // encoded once for all pages
    const bytes = Buffer.from(text)
    for (const client of clients) send(client, bytes)
    took = performance.now() - begun
  }

  const delayNow = (): number => {
    if (filling) return limits.fillingDelay
    return Math.max(limits.delay, Math.min(longestDelay, limits.restTimes * took))
  }

  const stopListening = monitor.onChange((change: MonitorChange) => {
    if (change.shop) filling = change.shop.filling !== null
    if (clients.size === 0) return
    for (const machine of change.machines) machines.set(machine.machine, machine)
    for (const sensor of change.sensors) sensors.set(sensor.sensor, sensor)
    if (change.shop) shopChanged = true
    if (change.anew) anew = true
    if (machines.size + sensors.size === 0 && !shopChanged && !anew) return
    timer ??= setTimeout(flush, delayNow())
  })

  const beating = setInterval(() => {
    if (clients.size === 0) return
    const beat = event('beat', { at: clock() })
    // a page that is behind needs no beat on top
    for (const client of clients) if (!client.writableNeedDrain) send(client, beat)
  }, limits.beat)
  beating.unref()

  const state = () => event('state', { shop: monitor.shop(), machines: monitor.machines(), sensors: monitor.sensors() })

  return {
    join(response) {
      const whole = `retry: 2000\n${state()}`
      unreadBound = Math.max(limits.unread, 4 * whole.length)
      response.on('close', () => clients.delete(response))
      response.on('error', () => clients.delete(response))
      clients.add(response)
      send(response, whole)
    },
    get full() {
      return clients.size >= limits.clients
    },
    get clients() {
      return clients.size
    },
    get cutOff() {
      return cutOff
    },
    async close() {
      stopListening()
      clearInterval(beating)
      clearTimeout(timer)
      const open = [...clients]
      if (open.length === 0) return
      const ended = open.map(client => new Promise<void>(resolve => client.end(resolve)))
      let farewell: NodeJS.Timeout | undefined
      const enough = new Promise<void>(resolve => {
        farewell = setTimeout(resolve, limits.farewell)
      })
      await Promise.race([Promise.all(ended), enough])
      clearTimeout(farewell)
      // who still has not read holds the server open: no longer
      for (const client of open) client.destroy()
      clients.clear()
    },
  }
}
