import type { Reading, Refusal } from '../ingest/reading.js'
import type { Facts } from './facts.js'

export interface SeriesPoint {
  /** ms; start of the interval, or the moment of a single reading */
  at: number
  count: number
  /** °C as measured, before offset */
  mean: number
  min: number
  max: number
}
export interface Series {
  level: 'reading' | 'minute' | 'quarter hour' | 'hour'
  points: SeriesPoint[]
}

/** What the service remembers. `append` returns only after the commit. */
export interface Store {
  readonly facts: Facts
  /** Commits all in one transaction. Idempotent: a reading already there (sensor and time) is ignored. @returns the new ones */
  append(readings: readonly Reading[]): Reading[]
  /** newest reading of each sensor */
  latest(): Reading[]
  /** all sensors' readings with from <= at < to, in order of time */
  readings(from: number, to: number): Iterable<Reading>
  /** coarsest level that still gives at least `points` points between from and to (ms) */
  series(sensor: string, from: number, to: number, points: number): Series
  recordRefusal(refusal: Refusal): void
  refusals(): { counts: { reason: string; count: number }[]; samples: Refusal[] }
  /** deletes what is older than the retention settings; returns rows deleted */
  prune(now: number): number
  close(): void
}
