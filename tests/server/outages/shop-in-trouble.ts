import type { MqttClient } from 'mqtt'
import { pino } from 'pino'
import type { Service } from '../../../server/service.js'
import { interruption, readingPatience } from '../../../web/live/freshness.js'
import { until } from '../../eventually.js'
import { started } from '../../serving.js'
import { shop as smallShop } from '../http/fakes.js'
import { publisher } from '../ingest/service.js'

/** the small shop, whose sensors send their time, with a kind of work so coarse that a machine at rest is fit for it */
export const shop = {
  ...smallShop,
  workClasses: smallShop.workClasses.map(workClass => ({ ...workClass, tolerance: 1e-3 })),
  sensors: smallShop.sensors.map(s => ({ ...s, payload: { kind: 'json' as const, value: 'value', time: 'time' } })),
}

interface Health {
  code: number
  status: 'well' | 'unwell'
  reasons: string[]
  broker: 'connected' | 'away'
}

export interface ShopInTrouble {
  service: Service
  /** lines of the log, as text */
  lines: string[]
  /** of its sensors, which send a value and a time */
  topics: readonly string[]
  /** one reading of every sensor, of the service's time now */
  report(): Promise<number>
  stored(): number
  health(): Promise<Health>
  /** what a page shows over everything, given what the service tells; null: nothing */
  banner(): string | null
  /** the verdict of the one machine for its one work class */
  verdict(): string
}

interface Trouble {
  broker: string
  /** if not given, the broker's */
  publishTo?: string
  data?: string
  clock?: () => number
}

/** The whole service on a real broker, watched from where its users stand. */
export const shopInTrouble = async ({ broker, publishTo = broker, data, clock = Date.now }: Trouble) => {
  const lines: string[] = []
  const log = pino({ level: 'info' }, { write: (line: string) => lines.push(JSON.parse(line).msg) })
  const service = await started(
    { shop, log, clock },
    { broker: { url: broker }, embeddedBroker: false, log: 'info', ...(data && { data }) },
  )
  let client: MqttClient | undefined
  let last = 0
  const watched: ShopInTrouble = {
    service,
    lines,
    topics: shop.sensors.map(({ topic }) => topic!),
    async report() {
      client ??= await publisher(publishTo)
      // two reports in one millisecond would be one reading
      last = Math.max(clock(), last + 1)
      const time = clock() < last - 1000 ? clock() : last
      last = time
      const values = shop.sensors.map(s => ({ topic: s.topic!, value: s.unit === 'state' ? 0 : 20 - s.offset, time }))
      for (const { topic, ...payload } of values) await client.publishAsync(topic, JSON.stringify(payload), { qos: 1 })
      return time
    },
    stored: () => [...service.store.readings(0, Number.POSITIVE_INFINITY)].flat().length,
    async health() {
      const reply = await fetch(`${service.url}/healthz`)
      return { code: reply.status, ...((await reply.json()) as Omit<Health, 'code'>) }
    },
    banner() {
      const state = service.monitor.shop()
      const heard = { heardAt: 1, openedAt: 0, monotonicNow: 1, serviceTime: clock() }
      return interruption(heard, state, state.newestReading, readingPatience(shop.sensors))?.kind ?? null
    },
    verdict: () => service.monitor.machine('mill')!.classes[0]!.verdict,
  }
  await until(watched.health, ({ broker: state }) => state === 'connected')
  return watched
}
