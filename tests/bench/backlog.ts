import { setTimeout as pause } from 'node:timers/promises'
import mqtt, { type IClientOptions } from 'mqtt'
import { startMosquitto } from '../mosquitto.js'
import { connected, publishAll } from './publishing.js'
import { type BenchService, benchService, storedMetric } from './service.js'
import { benchShop } from './shop-text.js'

const kept = { protocolVersion: 5, clean: false } as const
/** the library's own settings, and the window that the service asks for */
const bareOptions: Record<'bare' | 'bareWide', IClientOptions> = {
  bare: { ...kept, properties: { sessionExpiryInterval: 3600 } },
  bareWide: { ...kept, properties: { sessionExpiryInterval: 3600, receiveMaximum: 4000 } },
}

const attend = async (url: string, clientId: string, options: IClientOptions): Promise<void> => {
  const client = await connected(url, { ...options, clientId })
  await client.subscribeAsync('bench/#', { qos: 1 })
  await client.endAsync()
}

/** The counting clients drop the single reading that was meant for the service. */
const forget = async (url: string): Promise<void> => {
  for (const [name, options] of Object.entries(bareOptions)) await countWaiting(url, name, options, 1)
}

/** Readings a second of a client that only counts what waits for it. */
const countWaiting = (url: string, clientId: string, options: IClientOptions, count: number): Promise<number> =>
  new Promise((resolve, reject) => {
    let seen = 0
    let first = 0
    const client = mqtt.connect(url, { ...options, clientId, reconnectPeriod: 0 })
    client.on('error', error => {
      if (seen < count) reject(error)
    })
    client.on('message', () => {
      if (seen++ === 0) first = performance.now()
      if (seen !== count) return
      const rate = (1000 * count) / (performance.now() - first)
      // the last acknowledgements are still on their way
      setTimeout(() => client.end(), 500)
      client.on('close', () => resolve(rate))
    })
  })

export interface BacklogRates {
  sensors: number
  machines: number
  /** readings a second, one for each repetition */
  bare: number[]
  bareWide: number[]
  ours: number[]
}

/**
 * How quickly what waits at a real broker is taken: by a client that only counts, and by the whole service (decode, check,
 * commit, acknowledge, evaluate, five pages listening), both at QoS 1, from the same queue, in turn.
 */
export const backlogRates = async (sensors: number, count: number, repetitions: number): Promise<BacklogRates> => {
  const shop = benchShop(sensors)
  const broker = await startMosquitto()
  const service = await benchService(shop.yaml, broker.url)
  const rates: BacklogRates = { sensors, machines: shop.machines, bare: [], bareWide: [], ours: [] }
  const rounds = Math.ceil(count / sensors)
  const apart = 10_000
  try {
    await service.start()
    await pause(500)
    await service.stop()
    for (const [name, options] of Object.entries(bareOptions)) await attend(broker.url, name, options)
    const publisher = await connected(broker.url)
    for (let n = 0; n < repetitions; n++) {
      const from = Date.now() - (repetitions - n) * rounds * apart
      await publishAll(publisher, shop.sensors, count, from, apart)
      rates.bare.push(await countWaiting(broker.url, 'bare', bareOptions.bare, count))
      rates.bareWide.push(await countWaiting(broker.url, 'bareWide', bareOptions.bareWide, count))
      const all = await secondsToStore(service, count)
      // what the start takes is no part of it: the same with a single reading
      await publishAll(publisher, shop.sensors, 1, from + rounds * apart - 1, apart)
      const alone = await secondsToStore(service, 1)
      rates.ours.push((count - 1) / (all - alone))
      await forget(broker.url)
    }
    await publisher.endAsync()
  } finally {
    service.remove()
    await broker.remove()
  }
  return rates
}

/** s from the start of the service, with five pages listening, until so many readings are stored */
const secondsToStore = async (service: BenchService, count: number): Promise<number> => {
  const begun = performance.now()
  await service.start()
  await Promise.all(Array.from({ length: 5 }, () => service.page()))
  for (;;) {
    const done = await service.metric(storedMetric)
    if (Number.isNaN(done)) throw new Error(`the service has no metric ${storedMetric}`)
    if (done >= count) break
    await pause(10)
  }
  const seconds = (performance.now() - begun) / 1000
  await service.stop()
  return seconds
}
