import { readFromTo } from '../frame/period.js'

/** The stretch of time a machine's charts show; it lives in the address. */

interface NamedSpan {
  id: string
  text: string
  /** ms */
  length: number
}

const hour = 3_600_000
const day = 24 * hour
export const spans: readonly NamedSpan[] = [
  { id: 'hour', text: 'Hour', length: hour },
  { id: '8h', text: '8 h', length: 8 * hour },
  { id: 'day', text: 'Day', length: day },
  { id: 'week', text: 'Week', length: 7 * day },
  { id: 'month', text: 'Month', length: 30 * day },
  { id: 'year', text: 'Year', length: 365 * day },
]

/** up to now, moving on with it; or fixed, ms since 1970 */
export type Span = { kind: 'moving'; id: string; length: number } | { kind: 'fixed'; from: number; to: number }

/** @param query with `span=day`, or `from` and `to` as ISO 8601 with zone */
export const readSpan = (query: Pick<URLSearchParams, 'get'>): Span => {
  const fixed = readFromTo(query)
  if (fixed) return { kind: 'fixed', ...fixed }
  const named = spans.find(s => s.id === query.get('span')) ?? spans[2]!
  return { kind: 'moving', id: named.id, length: named.length }
}

/** the span's ends at a moment, whole ms */
export const spanAt = (span: Span, now: number): { from: number; to: number } => {
  if (span.kind === 'fixed') return { from: span.from, to: span.to }
  const to = Math.round(now)
  return { from: to - span.length, to }
}

/** least points asked for: about one for each two px of a wide chart */
export const chartPoints = 600

/** ms; a chart is asked for anew about once a pixel, but never more often than sensors report nor less than each 5 min */
export const refreshEvery = (span: Span): number | null =>
  span.kind === 'fixed' ? null : Math.min(Math.max(span.length / 720, 10_000), 300_000)

interface At {
  at: number
}

/** how many times the usual step makes a gap */
const gap = 3

/**
 * Where readings are missing the line must break: points farther apart than three usual steps get a hole between them.
 *
 * @param points   in order of time
 * @param hole     makes the point that stands for nothing, at a moment
 * @param leastGap ms; steps up to this never are a gap (three intervals of the sensor)
 */
export const withGaps = <T extends At>(points: readonly T[], hole: (at: number) => T, leastGap: number): T[] => {
  if (points.length < 2) return [...points]
  const steps = points.slice(1).map((p, i) => p.at - points[i]!.at)
  const usual = [...steps].sort((a, b) => a - b)[Math.floor(steps.length / 2)]!
  const limit = Math.max(gap * usual, leastGap)
  const out: T[] = []
  points.forEach((point, i) => {
    const before = points[i - 1]
    if (before && point.at - before.at > limit) out.push(hole((before.at + point.at) / 2))
    out.push(point)
  })
  return out
}
