import { connectAsync } from 'mqtt'
import type { Shop } from '../../core/shop.js'
import type { Logger } from '../log.js'
import type { RecordedReading } from '../recording/contents.js'
import { createPublisher } from '../recording/publisher.js'
import { replay, type Sequence } from '../recording/replaying.js'
import { type Service, startService } from '../service.js'
import type { DemoSettings } from '../settings/index.js'
import { usualRetention } from '../store/sqlite.js'
import { zeroedAtTheBeginning } from './datums.js'
import { replayClock } from './replay-clock.js'

const day = 86_400_000
/** spacings of a sensor's readings that are looked at */
const looked = 500

interface Relived {
  service: Service
  /** resolves at the recording's end, after which time stands still */
  ended: Promise<void>
  stop(): Promise<void>
}

/**
 * A sensor whose messages say when they were measured, on a topic of its own: the time at which one arrives is not the
 * recording's where much is under way.
 */
const withTime = <S extends RecordedReading['sensor']>(sensor: S): S => ({
  ...sensor,
  topic: `replay/${sensor.id}`,
  payload: { kind: 'json', value: 'value', time: 'time' },
})

/** A shop whose sensors report as often as the recording has them, so that none is late because of that. */
const atRecordedIntervals = (shop: Shop, { sensors, of, at }: Sequence): Shop => {
  const spacings = new Map<string, number[]>()
  const last = new Map<number, number>()
  for (const [i, index] of of.entries()) {
    const id = sensors[index]!.id
    const before = last.get(index)
    last.set(index, at[i]!)
    const all = spacings.get(id) ?? []
    spacings.set(id, all)
    if (before !== undefined && all.length < looked) all.push(at[i]! - before)
  }
  const recorded = (id: string): number => {
    const all = (spacings.get(id) ?? []).sort((a, b) => a - b)
    return (all[Math.floor(0.9 * all.length)] ?? 0) / 1000
  }
  return {
    ...shop,
    sensors: shop.sensors.map(s => ({ ...withTime(s), interval: Math.max(s.interval, recorded(s.id)) })),
  }
}

/**
 * Lives a recorded time again: the service with its embedded broker, whose clock goes from the recording's first moment
 * to its last, so many times as fast or as fast as its readings can be taken, while they come by MQTT as they did then.
 * For work that counts from a datum, the beginning of the recording is taken for one.
 */
export const relive = async (
  settings: DemoSettings,
  shop: Shop,
  recorded: Sequence,
  speed: number,
  log: Logger,
  onPart: (part: number) => void,
): Promise<Relived> => {
  const sequence = { ...recorded, sensors: recorded.sensors.map(withTime) }
  const [from, to] = [sequence.at[0]!, sequence.at.at(-1)!]
  let arrived = () => new Map<string, number>()
  const clock = replayClock(
    sequence,
    speed,
    () => performance.now(),
    () => arrived(),
  )
  const service = await startService(
    {
      ...settings,
      shop: 'replay',
      broker: { url: 'mqtt://127.0.0.1:0' },
      embeddedBroker: true,
      retention: { ...usualRetention, readingDays: usualRetention.readingDays + Math.ceil((to - from) / day) },
    },
    { shop: { ...atRecordedIntervals(shop, sequence), replay: speed }, log, clock: clock.now },
  )
  arrived = () => new Map(service.store.latest().map(({ sensor, at }) => [sensor, at]))
  const zeroed = zeroedAtTheBeginning(service, shop)
  service.monitor.onChange(() => {
    zeroed(service.now()).catch(error => log.warn(`The beginning could not be taken for a datum: ${error}`))
  })
  const stop = new AbortController()
  const client = await connectAsync(service.broker.url)
  const publisher = createPublisher(client, stop.signal)
  clock.begin()
  const ended = replay(sequence, publisher, { speed, shifted: false, signal: stop.signal, now: clock.now, onPart })
  return {
    service,
    ended,
    async stop() {
      stop.abort()
      await ended.catch(() => undefined)
      await client.endAsync(true)
      await service.stop()
    },
  }
}
