import { setTimeout as pause } from 'node:timers/promises'
import { startMosquitto } from '../mosquitto.js'
import { connected, publishSteadily } from './publishing.js'
import { benchService, storedMetric } from './service.js'
import { benchShop } from './shop-text.js'

export interface Delays {
  /** ms from publishing to the event on a page's stream */
  p50: number
  p99: number
  readings: number
}

/** How long a reading takes from its publication to the event on a page, with five pages listening. */
export const liveDelays = async (sensors: number, rate: number, seconds: number): Promise<Delays> => {
  const shop = benchShop(sensors)
  const broker = await startMosquitto()
  const service = await benchService(shop.yaml, broker.url)
  const delays: number[] = []
  let counting = false
  try {
    await service.start()
    await service.page((name, data) => {
      if (!counting || name !== 'sensors') return
      const now = Date.now()
      for (const { at } of JSON.parse(data) as { at: number | null }[]) if (at !== null) delays.push(now - at)
    })
    for (let n = 1; n < 5; n++) await service.page()
    const publisher = await connected(broker.url)
    // what has only just begun is not measured
    await publishSteadily(publisher, shop.sensors, rate, 5)
    counting = true
    await publishSteadily(publisher, shop.sensors, rate, seconds)
    counting = false
    await publisher.endAsync()
  } finally {
    service.remove()
    await broker.remove()
  }
  delays.sort((a, b) => a - b)
  const at = (part: number) => delays[Math.floor(part * (delays.length - 1))] ?? Number.NaN
  return { p50: at(0.5), p99: at(0.99), readings: delays.length }
}

export interface Memory {
  /** bytes, resident */
  afterMinute: number
  atEnd: number
  most: number
  /** readings the service had committed by the end */
  committed: number
  published: number
}

/** Memory of the service under a steady load. */
export const memoryUnderLoad = async (
  sensors: number,
  rate: number,
  seconds: number,
  progress: (part: number) => void,
): Promise<Memory> => {
  const shop = benchShop(sensors)
  const broker = await startMosquitto()
  const service = await benchService(shop.yaml, broker.url)
  const seen: number[] = []
  try {
    await service.start()
    for (let n = 0; n < 5; n++) await service.page()
    const publisher = await connected(broker.url)
    const watching = setInterval(() => {
      seen.push(service.resident())
      progress(Math.min(1, seen.length / seconds))
    }, 1000)
    await publishSteadily(publisher, shop.sensors, rate, seconds)
    clearInterval(watching)
    await publisher.endAsync()
    await pause(2000)
    const committed = await service.metric(storedMetric)
    return {
      afterMinute: seen[Math.min(59, seen.length - 1)] ?? Number.NaN,
      atEnd: seen.at(-1) ?? Number.NaN,
      most: Math.max(...seen),
      committed,
      published: rate * seconds,
    }
  } finally {
    service.remove()
    await broker.remove()
  }
}
