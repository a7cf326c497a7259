import { setImmediate as otherWork } from 'node:timers/promises'
import type { Interval } from '../../../core/environment/index.js'
import type { Sensor } from '../../../core/shop.js'
import type { TrustChange } from '../../../core/state.js'
import { mean } from '../../../core/statistics/index.js'
import {
  believedParts,
  believedPoints,
  type Doubted,
  doubtedStretches,
  newestAt,
  type OffsetSince,
  type Past,
  quarterHour,
  readOffsets,
  type Span,
} from '../../history/index.js'
import { joinByInterval } from '../../join-by-interval.js'
import { placeOf } from '../../monitor/sensor-record.js'

const hour = 4 * quarterHour
const day = 24 * hour
/** ms; so much is read at once, so that a sensor with long gaps is read finely only where they are */
const atOnce = 10 * day
/** of a day, so that what is stored in minutes, or single readings, comes back unjoined */
const pointsOfDay = 5000

/** ms; of the intervals that records are made of: whole parts of an hour, and of a day */
const widths = [quarterHour, 2 * quarterHour, hour, 2 * hour, 4 * hour, 8 * hour, day]

/** ms; a quarter of an hour, or more where a sensor would not report twice in it */
export const intervalWidth = (sensors: readonly Sensor[]): number => {
  const slowest = Math.max(0, ...sensors.map(({ interval }) => 2000 * interval))
  return widths.find(width => width >= slowest) ?? day
}

/** What was believed of sensors, and which offsets were in force, over a period. */
export interface Beliefs {
  /** what was found of any sensor, in the order in which it was */
  changes: readonly TrustChange[]
  doubted(sensor: string): readonly Doubted[]
  /** newest first; the last one always held */
  offsets(sensor: string): readonly OffsetSince[]
}

/** @param from ms; the earliest moment that will be asked for */
export const readBeliefs = async ({ store }: Past, sensors: readonly Sensor[], from: number): Promise<Beliefs> => {
  const changes = await store.facts.newest('trust', from)
  const doubted = doubtedStretches(changes)
  const offsets = await readOffsets(store, sensors)
  return { changes, doubted: sensor => doubted.get(sensor) ?? [], offsets: sensor => offsets.get(sensor) ?? [] }
}

/**
 * What was believed of a sensor, with the offsets of then, interval by interval: from the stored quarter hours, or where
 * there are few of them from what is finer.
 *
 * @param from  ms; a whole multiple of the width
 * @param width ms; of `intervalWidth`
 * @returns one for each interval, null where nothing was believed
 */
export const believedIntervals = async (
  past: Past,
  { doubted, offsets }: Beliefs,
  sensor: Sensor,
  { from, to }: Span,
  width: number,
): Promise<(Interval | null)[]> => {
  const [place] = placeOf(sensor, past.shop)
  const own = offsets(sensor.id)
  const inForce = {
    doubted,
    offset: (_: Sensor, at: number) => newestAt(own, at)?.offset ?? sensor.offset,
  }
  const intervals: (Interval | null)[] = new Array(Math.round((to - from) / width)).fill(null)
  const read = async (part: Span, points: number) =>
    believedPoints(past, inForce, sensor, place, part, points, quarterHour)
  const take = ({ points }: Awaited<ReturnType<typeof read>>) => {
    for (const { at, count, mean, min, max } of joinByInterval(points, width)) {
      const index = (at - from) / width
      const before = intervals[index]
      intervals[index] = before
        ? {
            mean: before.mean + ((mean - before.mean) * count) / (before.count + count),
            min: Math.min(before.min, min),
            max: Math.max(before.max, max),
            count: before.count + count,
          }
        : { mean, min, max, count }
    }
  }
  for (let begin = from; begin < to; begin += atOnce)
    for (const part of believedParts(
      doubted(sensor.id),
      { from: begin, to: Math.min(begin + atOnce, to) },
      quarterHour,
    )) {
      const found = await read(part, Math.floor((part.to - part.from) / hour) + 1)
      if (found.width === quarterHour || found.points.length === 0) take(found)
      else
        for (let at = part.from; at < part.to; at += day)
          take(await read({ from: at, to: Math.min(at + day, part.to) }, pointsOfDay))
    }
  await otherWork()
  return intervals
}

/** Means of what several sensors told, °C, interval by interval as in `believedIntervals`; null where nothing was believed. */
export const meansOver = async (
  past: Past,
  beliefs: Beliefs,
  sensors: readonly Sensor[],
  span: Span,
  width: number,
): Promise<(number | null)[]> => {
  const read: (Interval | null)[][] = []
  for (const sensor of sensors) read.push(await believedIntervals(past, beliefs, sensor, span, width))
  return Array.from({ length: Math.round((span.to - span.from) / width) }, (_, i) => {
    const known = read.flatMap(intervals => intervals[i]?.mean ?? [])
    return known.length > 0 ? mean(known) : null
  })
}
