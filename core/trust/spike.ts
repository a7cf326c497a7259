import type { PlaceKind, SensorFault } from '../reason.js'

/**
 * K at once, and K for each minute between the readings: more than this no place does from one reading to the next.
 * Judgement, no source. Air beside an open door is the quickest; a touching sensor lags by a minute.
 */
const quickest: Record<PlaceKind, { atOnce: number; perMinute: number }> = {
  body: { atOnce: 3, perMinute: 1 },
  air: { atOnce: 4, perMinute: 2 },
  coolant: { atOnce: 4, perMinute: 2 },
  source: { atOnce: 12, perMinute: 5 },
  outdoors: { atOnce: 5, perMinute: 2 },
}

/**
 * A jump that cannot be from one reading to the next: the second one is a spike unless the reading after it confirms it.
 *
 * @param from, to °C
 * @param elapsed s between them
 * @param place   kind of place that the sensor measures
 */
export const isJump = (from: number, to: number, elapsed: number, place: PlaceKind): boolean => {
  const { atOnce, perMinute } = quickest[place]
  return Math.abs(to - from) > atOnce + (perMinute * elapsed) / 60
}

/** isolated spikes; so many within `spikesWithin` are a fault, not an accident. Judgement, no source */
export const spikesOfAFault = 3

/** s; within which spikes are counted. Judgement, no source. @param interval s, in which the sensor reports */
const spikesWithin = (interval: number): number => Math.max(7200, 60 * interval)

/**
 * Isolated spikes that come again and again.
 *
 * @param age of the third newest spike, s; null when there were fewer
 * @param interval in which the sensor reports, s
 */
export const manySpikes = (age: number | null, interval: number): SensorFault | null => {
  if (age === null || age > spikesWithin(interval)) return null
  return { kind: 'spikes', count: spikesOfAFault, within: spikesWithin(interval) }
}
