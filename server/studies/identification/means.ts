import type { Sensor } from '../../../core/shop.js'
import { median } from '../../../core/statistics/index.js'
import { faultCode } from '../../../core/trust/index.js'
import { believedParts, type Doubted, levelWidth, type Span } from '../../history/index.js'
import type { Store } from '../../store/store.js'

/** ms between the values, and how far back they go */
export const spacing = 300_000
const reach = 14 * 86_400_000
/** ms read at once, and points asked for: so many that all minutes of that time come back, one by one */
const piece = 2 * 86_400_000
const points = 720
/** K; a minute in which a sensor moved so far had a bad reading in it */
const leap = 5
/** intervals; an hour without a reading is none that a straight line can bridge */
const mostBridged = 11
/** °C; outside this no place in or around a shop is plausible */
const plausible = { lowest: -45, highest: 95 }

/** ms; the fortnight up to a moment, on whole intervals */
export const fortnight = (now: number): Span => {
  const to = Math.floor(now / spacing) * spacing
  return { from: to - reach, to }
}

/** @returns ms; the beginning of each interval */
export const timesOf = ({ from, to }: Span): Float64Array => {
  const times = new Float64Array((to - from) / spacing)
  for (let i = 0; i < times.length; i++) times[i] = from + i * spacing
  return times
}

/** What one sensor told. */
export interface SensorMeans {
  /** °C, five-minute means; NaN where nothing believable was read */
  values: Float64Array
  /** s; how far apart its readings usually are, `spacing` at least */
  every: number
}

/**
 * One sensor's five-minute means over a span, from what is stored, read a piece at a time. Its offset is the same
 * throughout, today's: a correction is no step of the temperature.
 *
 * @param doubted stretches in which it was not believed, in order of time
 */
export async function* readingMeans(
  store: Pick<Store, 'series'>,
  sensor: Sensor,
  { from, to }: Span,
  doubted: readonly Doubted[] = [],
): AsyncGenerator<void, SensorMeans> {
  const length = (to - from) / spacing
  const sums = new Float64Array(length)
  const counts = new Uint32Array(length)
  for (let begin = from; begin < to; begin += piece) {
    for (const part of believedParts(doubted, { from: begin, to: Math.min(begin + piece, to) }, 60_000)) {
      const series = await store.series(sensor.id, part.from, part.to, points)
      for (const { at, mean, min, max, count } of series.points) {
        if (at + levelWidth[series.level] > part.to) continue
        if (max - min > leap || min < plausible.lowest || max > plausible.highest || faultCode(mean, null)) continue
        const interval = Math.floor((at - from) / spacing)
        if (interval < 0 || interval >= length) continue
        sums[interval]! += mean * count
        counts[interval]! += count
      }
    }
    yield
  }
  return bridged(sums.map((sum, i) => (counts[i] ? sum / counts[i]! + sensor.offset : Number.NaN)))
}

/**
 * Bridges by straight lines what a sensor that is slower than the spacing leaves out from reading to reading: up to twice
 * its usual gap, which its own readings tell. Of one that reports often nothing is bridged.
 */
const bridged = (values: Float64Array): SensorMeans => {
  const gaps: number[] = []
  let last = -1
  values.forEach((value, i) => {
    if (Number.isNaN(value)) return
    if (last >= 0) gaps.push(i - last - 1)
    last = i
  })
  const usual = gaps.length ? median(gaps) : 0
  const longest = Math.min(2 * usual, mostBridged)
  last = -1
  for (let i = 0; i < values.length; i++) {
    if (Number.isNaN(values[i]!)) continue
    const gap = i - last - 1
    if (last >= 0 && gap <= longest)
      for (let k = 1; k <= gap; k++) values[last + k] = values[last]! + (k / (gap + 1)) * (values[i]! - values[last]!)
    last = i
  }
  return { values, every: ((1 + usual) * spacing) / 1000 }
}

/** Mean of several sensors' values, of those that are known. */
export const meanOf = (all: readonly Float64Array[]): Float64Array =>
  all.length === 1
    ? all[0]!
    : (all[0] ?? new Float64Array(0)).map((_, i) => {
        const known = all.map(values => values[i]!).filter(value => !Number.isNaN(value))
        return known.length ? known.reduce((sum, value) => sum + value, 0) / known.length : Number.NaN
      })

/** What tells one set of sensors from another: which they are, where they report and how they are corrected. */
export const fingerprint = (sensors: readonly Sensor[]): string =>
  sensors.map(({ id, topic, offset, unit }) => `${id} ${topic} ${unit} ${offset}`).join('; ')
