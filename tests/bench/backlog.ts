import { type ChildProcess, fork } from 'node:child_process'
import { once } from 'node:events'
import { setTimeout as pause } from 'node:timers/promises'
import type { MqttClient } from 'mqtt'
import { startMosquitto } from '../mosquitto.js'
import { cleaned, within } from './cleaning.js'
import type { countingOptions } from './counting-options.js'
import { connected, publishAll } from './publishing.js'
import { type BenchService, benchService, processorTime, storedMetric } from './service.js'
import { type BenchShop, benchShop } from './shop-text.js'

export interface Taken {
  /** readings a second */
  rate: number
  /** µs of processor time for each reading: says more than the rate where other work shares the machine */
  processor: number
}

/** One for each repetition. */
export interface BacklogRates {
  sensors: number
  machines: number
  /** a client that only counts, with the library's own settings */
  bare: Taken[]
  /** the same with the window that the service asks for */
  bareWindow: Taken[]
  /** the whole service */
  ours: Taken[]
}

/** ms between two looks at what the service has stored: its answer costs it a few ms */
const look = 25
/** ms; a broker breaks off who says nothing for one and a half times its keep-alive, here 22 s */
const mostHeld = 18_000
const mostTaken = 120_000

/**
 * How quickly what waits at a real broker is taken, at QoS 1: by a client that only counts, and by the whole service (decode,
 * check, commit, acknowledge, evaluate, five pages listening). Either is a process of its own, connected and subscribed,
 * that is held (SIGSTOP) while the queue fills and timed from the moment it is let go.
 *
 * @param count readings in the queue
 */
export const backlogRates = async (sensors: number, count: number, repetitions: number): Promise<BacklogRates> => {
  const shop = benchShop(sensors)
  const broker = await startMosquitto()
  const removeBroker = cleaned(() => broker.remove())
  const rates: BacklogRates = { sensors, machines: shop.machines, bare: [], bareWindow: [], ours: [] }
  const rounds = Math.ceil(count / sensors)
  const apart = 10_000
  try {
    const service = await benchService(shop.yaml, broker.url)
    try {
      await service.start()
      for (let n = 0; n < 5; n++) await service.page()
      const publisher = await connected(broker.url)
      // what the service does for the first time is not measured
      await queueAndTake(service, publisher, shop, 5000, Date.now() - (repetitions + 2) * rounds * apart)
      for (let n = 0; n < repetitions; n++) {
        const from = Date.now() - (repetitions - n) * rounds * apart
        const queue = (prefix: string) => publishAll(publisher, renamed(shop, prefix), count, from, apart)
        rates.bare.push(await countingRate(broker.url, 'defaults', count, queue))
        rates.ours.push(await queueAndTake(service, publisher, shop, count, from))
        rates.bareWindow.push(await countingRate(broker.url, 'window', count, queue))
      }
      await publisher.endAsync()
      await service.stop()
      if (service.cutOff() > 0) throw new Error(`${service.cutOff()} pages were cut off while the queue was taken`)
    } finally {
      await service.remove()
    }
  } finally {
    await removeBroker()
  }
  return rates
}

/** the same topics, not the service's; equally long */
const renamed = (shop: BenchShop, prefix: string) =>
  shop.sensors.map(sensor => ({ ...sensor, topic: sensor.topic.replace('bench/', prefix) }))

/** Holds a process while the queue fills. @returns what it does from when it is let go until `taken` */
const held = async (
  process: { kill(signal: NodeJS.Signals): void; processorTime(): number },
  count: number,
  queue: () => Promise<void>,
  taken: () => Promise<void>,
): Promise<Taken> => {
  process.kill('SIGSTOP')
  await within(mostHeld, `${count} readings are queued; the broker takes them too slowly`, queue())
  const worked = process.processorTime()
  process.kill('SIGCONT')
  const begun = performance.now()
  await within(mostTaken, `${count} readings are taken from the queue`, taken())
  const seconds = (performance.now() - begun) / 1000
  return { rate: count / seconds, processor: (1e6 * (process.processorTime() - worked)) / count }
}

const queueAndTake = async (
  service: BenchService,
  publisher: MqttClient,
  shop: BenchShop,
  count: number,
  from: number,
): Promise<Taken> => {
  const wanted = (await service.metric(storedMetric)) + count
  const result = await held(
    service,
    count,
    () => publishAll(publisher, shop.sensors, count, from, 10_000),
    async () => {
      while ((await service.metric(storedMetric)) < wanted) await pause(look)
    },
  )
  // what it still has to show
  await pause(1000)
  return result
}

const countingRate = async (
  url: string,
  variant: keyof typeof countingOptions,
  count: number,
  queue: (prefix: string) => Promise<void>,
): Promise<Taken> => {
  const child = fork(new URL('./counting-client.ts', import.meta.url), [url, variant, 'count/#'], { detached: true })
  const end = cleaned(() => void child.kill('SIGKILL'))
  try {
    await told(child, 'ready')
    child.send(count)
    await told(child, 'armed')
    const counting = {
      kill: (signal: NodeJS.Signals) => child.kill(signal),
      processorTime: () => processorTime(child.pid),
    }
    return await held(
      counting,
      count,
      () => queue('count/'),
      () => told(child, 'done'),
    )
  } finally {
    await end()
  }
}

const told = async (child: ChildProcess, what: string): Promise<void> => {
  const ended = once(child, 'exit').then(() => {
    throw new Error(`the counting client ended before it was ${what}`)
  })
  const [word] = await Promise.race([once(child, 'message'), ended])
  if (word !== what) throw new Error(`the counting client said ${word} where it should say ${what}`)
}
