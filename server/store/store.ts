import type { Datum, VerdictChange } from '../../core/state.js'
import type { Reading, Refusal } from '../ingest/reading.js'
import type { IdentificationFacts } from './identifications.js'
import type { ImportFacts } from './imports.js'
import type { MeasuredFacts } from './measured.js'
import type { OffsetFacts } from './offsets.js'
import type { TrustFacts } from './trust-changes.js'

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

/** What the service remembers. Every method is synchronous; `append` returns only after the commit. */
export interface Store extends MeasuredFacts, IdentificationFacts, ImportFacts, OffsetFacts, TrustFacts {
  /** Commits all in one transaction. Idempotent: a reading already there (sensor and time) is ignored. @returns the new ones */
  append(readings: readonly Reading[]): Reading[]
  /** newest reading of each sensor */
  latest(): Reading[]
  /** all sensors' readings with from <= at < to, in order of time */
  readings(from: number, to: number): Iterable<Reading>
  /** coarsest level that still gives at least `points` points between from and to (ms) */
  series(sensor: string, from: number, to: number, points: number): Series
  recordVerdict(change: VerdictChange): void
  verdicts(machine: string, from: number, to: number): VerdictChange[]
  lastVerdicts(): VerdictChange[]
  addDatum(datum: Omit<Datum, 'id'>): Datum
  datums(machine: string): Datum[]
  recordRefusal(refusal: Refusal): void
  refusals(): { counts: { reason: string; count: number }[]; samples: Refusal[] }
  /** deletes what is older than the retention settings; returns rows deleted */
  prune(now: number): number
  close(): void
}
