import { setTimeout as pause } from 'node:timers/promises'
import mqtt, { type MqttClient } from 'mqtt'
import { afterAll, beforeAll, onTestFinished } from 'vitest'
import type { Shop } from '../../core/shop.js'
import { createLog } from '../../server/log.js'
import { type Service, startService } from '../../server/service.js'
import type { Settings } from '../../server/settings/index.js'
import { usualRetention } from '../../server/store/sqlite.js'
import { createSimulatedShop, demoPlant, type Message, type SimulatedShop } from '../../simulators/index.js'
import { demoShop } from '../demo-shop.js'
import { freePort } from '../free-port.js'
import { type Mosquitto, startMosquitto } from '../mosquitto.js'
import { temporaryFolder } from '../temporary-folder.js'

const hour = 3_600_000
/** s; between readings in the hours before */
const sparse = 120

interface LiveShop {
  service: Service
  simulated: SimulatedShop
  broker: Mosquitto
  /** starts the service anew, after it was stopped, at the same address and with the same database */
  startAgain(): Promise<void>
  /** lets the shop live for so many of its own minutes, the service's clock with it, and publishes what its sensors send */
  live(minutes: number): Promise<void>
  /** the service's clock goes on without any reading */
  silence(minutes: number): Promise<void>
}

/** Invented days; the tests live in January 2026. */
const calibrationDue: Record<string, string> = { 'mill-1-x-screw': '2025-12-31', 'grinder-1-x-screw': '2026-12-31' }

/** The topics of a machine's copy begin with this; those of the machine itself with nothing. */
const prefix = (copy: number): string => (copy === 0 ? '' : `copy-${copy}/`)

const publishAll = async (client: MqttClient, messages: Message[], copies: number): Promise<void> => {
  for (let copy = 0; copy < copies; copy++)
    await Promise.all(
      messages.map(({ topic, payload }) => client.publishAsync(prefix(copy) + topic, payload, { qos: 1 })),
    )
}

/** A shop in which each machine, with its sensors, stands as often as said; its copies live the same life. */
export const manifold = (shop: Shop, copies: number): Shop => {
  const numbers = Array.from({ length: copies }, (_, copy) => copy)
  const id = (of: string, copy: number) => (copy === 0 ? of : `${of}-${copy}`)
  const onMachines = shop.sensors.filter(s => s.at.kind === 'node')
  return {
    ...shop,
    machines: numbers.flatMap(copy =>
      shop.machines.map(m => ({ ...m, id: id(m.id, copy), name: copy === 0 ? m.name : `${m.name}, hall ${copy + 1}` })),
    ),
    sensors: [
      ...shop.sensors.filter(s => s.at.kind !== 'node'),
      ...numbers.flatMap(copy =>
        onMachines.map(s => ({
          ...s,
          id: id(s.id, copy),
          ...(s.topic !== undefined && { topic: prefix(copy) + s.topic }),
          at: s.at.kind === 'node' ? { ...s.at, machine: id(s.at.machine, copy) } : s.at,
        })),
      ),
    ],
  }
}

interface Living {
  /** s; of readings, and of the steps in which the shop lives */
  interval?: number
  /** that the shop has lived before */
  hours?: number
  /** whose sensors have the demo's topics */
  shop?: Shop
  /** how often each machine stands in it, see `manifold` */
  copies?: number
  /** takes what ends it: when the test is over, if not said otherwise */
  whenOver?: (end: () => void | Promise<void>) => void
}

/**
 * The demo shop's sensors on a real broker of their own, and the real service listening, at a pace the test sets: the
 * service's clock is the shop's.
 *
 * @param start ms; the shop has lived its hours when this returns
 */
export const liveShop = async (
  start: number,
  { interval = 20, hours = 8, shop = demoShop(), copies = 1, whenOver = onTestFinished }: Living = {},
): Promise<LiveShop> => {
  const mosquitto = await startMosquitto()
  whenOver(() => mosquitto.remove())
  const from = start - hours * hour
  const simulated = createSimulatedShop(demoPlant, { seed: 5, start: from })
  let now = from
  const settings: Settings = {
    shop: 'demo',
    broker: { url: mosquitto.url },
    embeddedBroker: false,
    host: '127.0.0.1',
    port: await freePort(),
    data: temporaryFolder(whenOver),
    token: null,
    retention: usualRetention,
    log: 'warn',
  }
  const options = {
    shop: {
      ...shop,
      sensors: shop.sensors.map(s => ({
        ...s,
        interval: Math.max(s.interval, interval),
        ...(calibrationDue[s.id] && { calibration: { due: calibrationDue[s.id]! } }),
      })),
    },
    log: createLog('error', false),
    clock: () => now,
  }
  let service = await startService(settings, { ...options, history: { from, interval: sparse } })
  whenOver(() => service.stop())
  const client = await mqtt.connectAsync(mosquitto.url)
  whenOver(async () => {
    await client.endAsync(true)
  })

  /** @returns ms; time of the newest message */
  const advance = async (to: number, every: number): Promise<number> => {
    const messages: Message[] = []
    simulated.advance(to, message => messages.push(message), every)
    now = to
    await publishAll(client, messages, copies)
    return messages.at(-1)?.time ?? 0
  }
  /** The service has the reading of that time; given up after a while, for a broker that is away takes in nothing. */
  const takenIn = async (time: number): Promise<void> => {
    const taken = () => (service.monitor.shop().newestReading ?? 0) >= time
    for (let waited = 0; !taken() && waited < 6000; waited++) await pause(10)
    await pause(20)
  }
  for (let passed = 1; passed <= hours * 6; passed++) await advance(from + passed * (hour / 6), sparse)
  for (let waited = 0; service.now() < start - 60_000 && waited < 600; waited++) await pause(100)
  service.historyFilled()

  return {
    get service() {
      return service
    },
    simulated,
    broker: mosquitto,
    startAgain: async () => {
      service = await startService(settings, options)
      // until it listens, the shop must not live on: sensors would seem late
      for (let waited = 0; service.monitor.shop().broker !== 'connected' && waited < 1200; waited++) await pause(50)
    },
    live: async minutes => {
      // in steps of the sensors' interval: the clock must not run ahead of readings that are still on their way
      for (let passed = 0; passed < minutes * 60; passed += interval) {
        const newest = await advance(now + interval * 1000, interval)
        await takenIn(newest)
      }
      await pause(500)
    },
    silence: async minutes => {
      now += minutes * 60_000
      for (let waited = 0; service.monitor.shop().at < now && waited < 6000; waited++) await pause(10)
    },
  }
}

/**
 * One live shop for all tests of a file that leave it as they found it, or that do not mind what the ones
 * before did to it.
 *
 * @param minutes that it has lived since its start, as `live` does
 * @returns gives the shop, within a test
 */
export const sharedShop = (start: number, minutes: number, living: Omit<Living, 'whenOver'> = {}): (() => LiveShop) => {
  const ends: (() => void | Promise<void>)[] = []
  let shop: LiveShop
  beforeAll(async () => {
    shop = await liveShop(start, { ...living, whenOver: end => ends.push(end) })
    await shop.live(minutes)
  })
  afterAll(async () => {
    for (const end of ends.reverse()) await end()
  })
  return () => shop
}
