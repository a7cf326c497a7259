import { z } from 'zod'
import { time } from '../quantities.js'
import type { EnvironmentLimits } from '../shop.js'

const hour = 3_600_000
const day = 24 * hour

/**
 * 0..1; the swing of 24 hours is only said to be within its limit where so much of them is known. Judgement, no source
 */
const leastKnown = 0.9

const limitKind = z.enum(['band', 'rate', 'swing', 'gradient'])

/** A sensor's temperature on an even grid. */
export interface SensorCourse {
  sensor: string
  /** m; null where the shop file gives none */
  position: { x: number; y: number; z: number } | null
  /** °C; mean of each interval, NaN where nothing was believed */
  means: readonly number[]
}

export const excursion = z.object({
  limit: limitKind,
  from: time,
  to: time.describe('ms since 1970 UTC; end of the last interval outside'),
  worst: z.number().describe('furthest outside: °C for the band, K/h with its sign, K, K/m'),
  beyond: z.number().describe('how far beyond the limit: K, K/h, K, K/m'),
  worstAt: time.describe('ms since 1970 UTC; beginning of the interval in which it was'),
  sensors: z.array(z.string()).describe('ids; one, or for a gradient two'),
})
/** A stretch of time in which a limit was not kept. */
export type Excursion = z.infer<typeof excursion>

const duration = z.number().describe('ms')
export const kept = z.object({
  within: duration,
  outside: duration,
  notKnown: duration.describe('ms; together they are the period'),
})
/** For how long a limit, or all of them, were kept. */
export type Kept = z.infer<typeof kept>

export const limitsKeptSchema = z.object({
  limits: z.array(kept.extend({ limit: limitKind })),
  all: kept.describe('outside any of the limits; within where all are known to be kept'),
  excursions: z.array(excursion).describe('in order of time'),
  withoutPositions: z
    .boolean()
    .describe('the gradient cannot be told: fewer than two of its sensors have positions apart from each other'),
})
/** How all limits of an environment were kept over a period. */
export type LimitsKept = z.infer<typeof limitsKeptSchema>

interface Found {
  /** in the unit of the limit, as `beyond` */
  value: number
  /** above zero: outside */
  beyond: number
  sensors: string[]
}
/** What is furthest outside, or least far inside, in an interval; null where that is not known. */
type Look = (interval: number) => Found | null

/** @param each what one sensor, or pair, shows in an interval */
const worstOf =
  <T>(all: readonly T[], each: (one: T, interval: number) => Found | null): Look =>
  interval => {
    let worst: Found | null = null
    for (const one of all) {
      const found = each(one, interval)
      if (found && !(worst && worst.beyond >= found.beyond)) worst = found
    }
    return worst
  }

const inBand = (courses: readonly SensorCourse[], { lowest, highest }: { lowest: number; highest: number }): Look =>
  worstOf(courses, ({ sensor, means }, i) => {
    const value = means[i]!
    return Number.isNaN(value) ? null : { value, beyond: Math.max(value - highest, lowest - value), sensors: [sensor] }
  })

const inRate = (courses: readonly SensorCourse[], width: number, limit: number): Look => {
  const steps = Math.max(1, Math.round(hour / width))
  const hours = (steps * width) / hour
  return worstOf(courses, ({ sensor, means }, i) => {
    const value = (means[i]! - (means[i - steps] ?? Number.NaN)) / hours
    return Number.isNaN(value) ? null : { value, beyond: Math.abs(value) - limit, sensors: [sensor] }
  })
}

const inSwing = (courses: readonly SensorCourse[], width: number, limit: number): Look => {
  const intervals = Math.round(day / width)
  return worstOf(courses, ({ sensor, means }, i) => {
    if (Number.isNaN(means[i]!)) return null
    let [lowest, highest, known] = [means[i]!, means[i]!, 0]
    for (let k = Math.max(0, i - intervals + 1); k <= i; k++) {
      const value = means[k]!
      if (Number.isNaN(value)) continue
      known++
      if (value < lowest) lowest = value
      if (value > highest) highest = value
    }
    const value = highest - lowest
    // what is known is enough to see that it was too much, but not that it was not
    if (value <= limit && known < leastKnown * intervals) return null
    return { value, beyond: value - limit, sensors: [sensor] }
  })
}

interface Pair {
  one: SensorCourse
  other: SensorCourse
  /** m */
  apart: number
}

const pairsOf = (courses: readonly SensorCourse[]): Pair[] =>
  courses.flatMap((one, i) =>
    courses.slice(i + 1).flatMap(other => {
      const [a, b] = [one.position, other.position]
      const apart = a && b ? Math.hypot(a.x - b.x, a.y - b.y, a.z - b.z) : 0
      return apart > 0 ? [{ one, other, apart }] : []
    }),
  )

const inGradient = (pairs: readonly Pair[], limit: number): Look =>
  worstOf(pairs, ({ one, other, apart }, i) => {
    const value = Math.abs(one.means[i]! - other.means[i]!) / apart
    return Number.isNaN(value) ? null : { value, beyond: value - limit, sensors: [one.sensor, other.sensor] }
  })

/**
 * How the limits of an environment were kept over a period, judged interval by interval by the sensor that was furthest
 * outside.
 *
 * - band: the mean of the interval lies outside it
 * - rate: the mean of the interval differs from that of the interval one hour before (the nearest one, where intervals
 *   are longer) by more than the limit; the interval at the end of that hour counts
 * - swing: highest minus lowest mean of the 24 hours (of time that passes, not of the calendar) that end with the interval.
 *   Kept only where nine tenths of them are known
 * - gradient: difference between the means of two sensors divided by how far they are apart, the largest of all pairs
 *
 * An excursion is a run of intervals outside without one between them that is inside or not known.
 *
 * @param courses of the sensors, on the same intervals, as many each
 * @param start   ms; where the first interval begins
 * @param width   ms, of an interval
 * @param first   number of the interval with which the period begins; those before it tell rate and swing at its beginning
 * @see no limit is ours: they are stated by a machine's builder or the shop. That rate and swing are told so is our
 *   choice, the common practice of building automation, no source
 */
export const limitsKept = (
  limits: EnvironmentLimits,
  courses: readonly SensorCourse[],
  start: number,
  width: number,
  first: number,
): LimitsKept => {
  const count = courses[0]?.means.length ?? 0
  const pairs = limits.gradient === undefined ? [] : pairsOf(courses)
  const looks: { limit: Excursion['limit']; look: Look }[] = []
  if (limits.band) looks.push({ limit: 'band', look: inBand(courses, limits.band) })
  if (limits.rate !== undefined) looks.push({ limit: 'rate', look: inRate(courses, width, limits.rate) })
  if (limits.swing !== undefined) looks.push({ limit: 'swing', look: inSwing(courses, width, limits.swing) })
  if (pairs.length > 0) looks.push({ limit: 'gradient', look: inGradient(pairs, limits.gradient!) })

  const kept = looks.map(({ limit }) => ({ limit, within: 0, outside: 0, notKnown: 0 }))
  const all = { within: 0, outside: 0, notKnown: 0 }
  const open: (Excursion | null)[] = looks.map(() => null)
  const excursions: Excursion[] = []
  for (let i = first; i < count; i++) {
    const at = start + i * width
    let together: keyof typeof all = looks.length > 0 ? 'within' : 'notKnown'
    looks.forEach(({ limit, look }, k) => {
      const found = look(i)
      const how = found === null ? 'notKnown' : found.beyond > 0 ? 'outside' : 'within'
      kept[k]![how] += width
      if (how === 'outside' || together === 'within') together = how
      if (!found || how !== 'outside') {
        open[k] = null
        return
      }
      const { value: worst, beyond, sensors } = found
      const before = open[k]
      if (!before) {
        open[k] = { limit, from: at, to: at + width, worst, beyond, worstAt: at, sensors }
        excursions.push(open[k])
        return
      }
      before.to = at + width
      if (beyond > before.beyond) Object.assign(before, { worst, beyond, worstAt: at, sensors })
    })
    all[together] += width
  }
  return { limits: kept, all, excursions, withoutPositions: limits.gradient !== undefined && pairs.length === 0 }
}
