import { setTimeout as pause } from 'node:timers/promises'
import { startMosquitto } from '../mosquitto.js'
import { cleaned } from './cleaning.js'
import { connected, publishSteadily } from './publishing.js'
import { type BenchService, benchService } from './service.js'
import { type BenchShop, benchShop } from './shop-text.js'

/** Publishes to a service with five pages listening, and ends and deletes everything however that goes. */
export const withLiveService = async <T>(
  sensors: number,
  work: (
    service: BenchService,
    publish: (rate: number, seconds: number) => Promise<number>,
    shop: BenchShop,
  ) => Promise<T>,
  onEvent?: (name: string, data: string) => void,
): Promise<T> => {
  const shop = benchShop(sensors)
  const broker = await startMosquitto()
  const removeBroker = cleaned(() => broker.remove())
  try {
    const service = await benchService(shop.yaml, broker.url)
    try {
      await service.start()
      await service.page(onEvent)
      for (let n = 1; n < 5; n++) await service.page()
      const publisher = await connected(broker.url)
      let sent = 0
      const found = await work(
        service,
        async (rate, seconds) => {
          const count = await publishSteadily(publisher, shop.sensors, rate, seconds, sent)
          sent += count
          return count
        },
        shop,
      )
      await publisher.endAsync(true)
      if (service.cutOff() > 0) throw new Error(`${service.cutOff()} pages were cut off`)
      await service.stop()
      return found
    } finally {
      await service.remove()
    }
  } finally {
    await removeBroker()
  }
}

export interface Delays {
  /** ms from publishing to the event on a page's stream, one for each repetition */
  p50: number[]
  p99: number[]
  /** readings published, and those that came to the page */
  published: number
  shown: number
}

/**
 * How long a reading takes from its publication to the event on a page, with five pages listening. Publisher and page are
 * one process, so that there is one clock, and what delays it counts as well.
 *
 * @param seconds of each repetition
 */
export const liveDelays = async (
  sensors: number,
  rate: number,
  seconds: number,
  repetitions: number,
): Promise<Delays> => {
  let delays: number[] = []
  const found: Delays = { p50: [], p99: [], published: 0, shown: 0 }
  const onEvent = (name: string, data: string) => {
    if (name !== 'sensors') return
    const now = Date.now()
    for (const { at } of JSON.parse(data) as { at: number | null }[]) if (at !== null) delays.push(now - at)
  }
  await withLiveService(
    sensors,
    async (_, publish) => {
      // what has only just begun is not measured
      await publish(rate, 10)
      for (let n = 0; n < repetitions; n++) {
        delays = []
        found.published += await publish(rate, seconds)
        // the last ones are still on their way
        await pause(2000)
        found.shown += delays.length
        delays.sort((a, b) => a - b)
        const at = (part: number) => delays[Math.floor(part * (delays.length - 1))] ?? Number.NaN
        found.p50.push(at(0.5))
        found.p99.push(at(0.99))
      }
    },
    onEvent,
  )
  return found
}
