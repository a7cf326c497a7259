import type { PlaceKind } from '../../core/reason.js'
import type { Sensor } from '../../core/shop.js'
import { faultCode, isJump, outOfRange } from '../../core/trust/index.js'
import type { Series, SeriesPoint } from '../store/store.js'
import { believedParts } from './believed.js'
import type { InForce, Past } from './in-force.js'
import type { Span } from './span.js'

const minute = 60_000
export const quarterHour = 15 * minute

/** ms; the time that a point of each level stands for */
export const levelWidth: Record<Series['level'], number> = {
  reading: 1,
  minute,
  'quarter hour': quarterHour,
  hour: 4 * quarterHour,
}

/** A value that no place of that kind can have, or that is a device's fault code. */
const cannotBe = (value: number, before: number | null, place: PlaceKind): boolean =>
  (faultCode(value, before) ?? outOfRange(value, place)) !== null

/** A mean of many readings without its lowest and its highest where those cannot be. @param width ms, of its interval */
const trimmed = (point: SeriesPoint, width: number, place: PlaceKind): SeriesPoint => {
  let { count, mean } = point
  for (const extreme of [point.min, point.max]) {
    const others = mean + (mean - extreme) / (count - 1)
    if (count === 1 || (!cannotBe(extreme, others, place) && !isJump(others, extreme, width / 1000, place))) continue
    count -= 1
    mean = others
  }
  return count === point.count ? point : { ...point, count, mean, min: mean, max: mean }
}

/** Without those that cannot be, and without isolated spikes: a jump counts once the next point confirms it. */
const withoutSpikes = (points: readonly SeriesPoint[], place: PlaceKind): SeriesPoint[] => {
  const kept: SeriesPoint[] = []
  let held: SeriesPoint | null = null
  const isStep = (before: SeriesPoint, { at, mean }: SeriesPoint) =>
    isJump(before.mean, mean, (at - before.at) / 1000, place)
  for (const point of points) {
    const good = kept.at(-1)
    if (cannotBe(point.mean, good?.mean ?? null, place)) continue
    const confirmed: boolean = held !== null && !isStep(held, point)
    held = good && isStep(good, point) && !confirmed ? point : null
    if (!held) kept.push(point)
  }
  return kept
}

/**
 * Points to ask a store for over a span, so that they come back one by one: it joins neighbours where there are more than
 * four times as many as were asked for, and a joint mean hides a reading that was refused.
 */
const unjoined = (points: number, { from, to }: Span): number => {
  const rows = [levelWidth.hour, quarterHour, minute].map(width => (to - from) / width).find(count => count >= points)
  return rows === undefined ? 4 * points : Math.max(points, Math.ceil(rows / 4))
}

/**
 * ms; to which parts of a span are cut where a sensor was not believed. Stored means that answer for intervals of this
 * width are no longer than it, and however often a sensor was doubted, what is asked for stays bounded.
 */
export const gridFor = (width: number): number => {
  if (width < quarterHour) return minute
  return Math.max(1, Math.floor(width / 8 / quarterHour)) * quarterHour
}

/**
 * What is stored of a sensor and was believed, offsets applied, in order of time; and the coarsest level in it, ms.
 *
 * Readings that were refused one by one are left out as far as what is stored tells: fault codes, what is out of range,
 * and isolated spikes. A spike within the range stays in a mean of a quarter of an hour or more.
 */
export const believedPoints = async (
  { store }: Pick<Past, 'store'>,
  { doubted, offset }: Pick<InForce, 'doubted' | 'offset'>,
  sensor: Sensor,
  place: PlaceKind,
  span: Span,
  points: number,
  grid: number,
): Promise<{ points: SeriesPoint[]; width: number }> => {
  const found: SeriesPoint[] = []
  let width = 1
  const parts = believedParts(doubted(sensor.id), span, grid)
  for (const part of parts) {
    const share = Math.ceil((points * (part.to - part.from)) / (span.to - span.from))
    // a quarter hour may hold what was not believed: a part cut to minutes is read in minutes
    const finer = part.from === span.from && part.to === span.to ? 0 : (part.to - part.from) / quarterHour + 1
    const wanted = grid < quarterHour ? Math.max(share, Math.ceil(finer)) : share
    const series = await store.series(sensor.id, part.from, part.to, unjoined(wanted, part))
    const own = levelWidth[series.level]
    width = Math.max(width, own)
    for (const { at, count, mean, min, max } of series.points) {
      if (grid < quarterHour && part.to < span.to && at + own > part.to) continue
      const by = offset(sensor, at)
      found.push(trimmed({ at, count, mean: mean + by, min: min + by, max: max + by }, own, place))
    }
  }
  return { points: withoutSpikes(found, place), width }
}
