import type { RefusalsAnswer } from '../http/schemas/answers.js'
import type { Reading, Refusal } from '../ingest/reading.js'
import type { Facts } from './facts.js'
import type { Inspections } from './inspections.js'

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

/** An answer at once, from a database in this process, or later, from one beyond a network. Whoever asks awaits it. */
export type Answer<T> = T | Promise<T>

/**
 * What the service remembers. Everything that asks it goes through this interface and awaits the answer, so that another
 * database can take the place of the one in SQLite.
 */
export interface Store {
  readonly facts: Facts
  readonly inspections: Inspections
  /**
   * Commits all in one transaction and answers after the commit. Idempotent: a reading already there (sensor and time) is
   * ignored.
   *
   * @returns the new ones
   */
  append(readings: readonly Reading[]): Answer<Reading[]>
  /** as `append`, and notes which ones an import (the id of its fact) has added */
  appendImported(imported: number, readings: readonly Reading[]): Answer<Reading[]>
  /** how many readings are noted of an import, and the earliest of them (ms); null: none, or it was taken back whole */
  noted(imported: number): Answer<{ readings: number; first: number } | null>
  /**
   * Takes some readings that an import has added out of everything, some ms of work; call it until it says so.
   *
   * @returns true while there is more to do
   */
  takeBackSome(imported: number): Answer<boolean>
  /** newest reading of each sensor */
  latest(): Answer<Reading[]>
  /**
   * All sensors' readings with from <= at < to, in order of time, a thousand or so together: to wait for each one would
   * take longer than to read it.
   */
  readings(from: number, to: number): Iterable<readonly Reading[]> | AsyncIterable<readonly Reading[]>
  /** coarsest level that still gives at least `points` points between from and to (ms) */
  series(sensor: string, from: number, to: number, points: number): Answer<Series>
  /** all in one commit */
  recordRefusals(refusals: readonly Refusal[]): Answer<void>
  refusals(): Answer<RefusalsAnswer>
  close(): Answer<void>
}
