import { isThermometer, type Sensor } from '../../core/shop.js'
import type { ShopState } from '../../core/state.js'
import { lowest } from '../../core/statistics/spread.js'

/** Why the page may not be believed as it stands. */
export type Interruption =
  /** the page has just been opened and waits for its first news */
  | { kind: 'connecting' }
  /** nothing heard from the service; `since` null when it was never heard */
  | { kind: 'service'; since: number | null }
  /** the service is there, its broker is not */
  | { kind: 'broker'; since: number | null }
  /** the service cannot store what arrives; `why` says also what to do */
  | { kind: 'unstored'; since: number | null; why: string }
  /** nothing arrives, and the service knows why; `why` says also what to do */
  | { kind: 'trouble'; since: number | null; why: string }
  /** service and broker are there, no sensor reports */
  | { kind: 'readings'; since: number }
  /** there has never been a reading */
  | { kind: 'nothing yet' }
  /** the demo fills its invented history */
  | { kind: 'filling'; part: number }

export interface Heard {
  /** ms, a clock that never jumps; when something last came from the service, null before that */
  heardAt: number | null
  /** ms, the same clock; when the page was opened */
  openedAt: number
  /** ms, the same clock */
  monotonicNow: number
  /** ms since 1970 by the service's clock, at `heardAt`; null before that */
  serviceTime: number | null
}

/** ms; the service says every 2 s that it lives, so this is three beats missed */
const beatPatience = 6000

/** ms; a reading may take this long on its way, however short the sensor's interval */
const leastReadingPatience = 5000

/**
 * How old the newest reading may be before the readings count as stopped: two intervals of the sensor that reports
 * most often.
 * @returns ms
 */
export const readingPatience = (sensors: readonly Pick<Sensor, 'interval' | 'unit'>[]): number => {
  const intervals = sensors.filter(isThermometer).map(s => s.interval)
  if (intervals.length === 0) return Number.POSITIVE_INFINITY
  return Math.max(2000 * lowest(intervals), leastReadingPatience)
}

/** the service's time now, from the last time it told and what has passed since; null before it told */
export const serviceNow = (heard: Heard): number | null =>
  heard.serviceTime === null || heard.heardAt === null ? null : heard.serviceTime + (heard.monotonicNow - heard.heardAt)

/**
 * The rule by which a page says that its data has stopped. The gravest comes first: a service that is gone hides
 * everything else.
 * @param newestReading ms since 1970, event time of the newest reading known to the page
 * @param patience ms, see `readingPatience`
 */
export const interruption = (
  heard: Heard,
  shop: Pick<ShopState, 'broker' | 'unstored' | 'troubles' | 'filling'> | null,
  newestReading: number | null,
  patience: number,
): Interruption | null => {
  const now = serviceNow(heard)
  if (heard.heardAt === null || now === null || shop === null) {
    return heard.monotonicNow - heard.openedAt > beatPatience
      ? { kind: 'service', since: null }
      : { kind: 'connecting' }
  }
  if (heard.monotonicNow - heard.heardAt > beatPatience) return { kind: 'service', since: heard.serviceTime }
  // before the broker: its connection is broken off as long as nothing can be stored
  if (shop.unstored !== null) return { kind: 'unstored', since: newestReading, why: shop.unstored }
  if (shop.filling !== null) return { kind: 'filling', part: shop.filling }
  const stopped = newestReading === null || now - newestReading > patience
  if (shop.broker === 'connected' && !stopped) return null
  const [why] = shop.troubles
  if (why !== undefined) return { kind: 'trouble', since: newestReading, why }
  if (shop.broker === 'away') return { kind: 'broker', since: newestReading }
  return newestReading === null ? { kind: 'nothing yet' } : { kind: 'readings', since: newestReading }
}
