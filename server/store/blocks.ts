import type { Database } from 'better-sqlite3'
import {
  decodeReadings,
  decodeSummaries,
  decodeTimes,
  encodeReadings,
  encodeSummaries,
  type Readings,
  type Summary,
} from './block.js'
import { type Days, dayTable } from './days.js'
import { beginOf, hour, hourKey, hourOfKey, sensorOfKey } from './keys.js'
import { minuteWidth } from './summaries.js'

/** Sealed readings and their minutes in blocks, one for each sensor and hour; longer summaries lie by the day. */
export interface Blocks extends Days {
  /** @param begin ms, the hour's, as in all of these */
  readings(sensor: number, begin: number): Readings | null
  putReadings(sensor: number, begin: number, readings: Readings): void
  /** of all sensors, in order of their numbers */
  ofHour(begin: number): Iterable<[sensor: number, readings: Readings]>
  /** ms; the first hour from `time` on that has readings of any sensor */
  nextHour(time: number): number | undefined
  /** costs a look into a block, the next ones of the same block hardly anything; call `changed` when blocks were put */
  has(sensor: number, at: number): boolean
  changed(): void
  minutes(sensor: number, begin: number): Summary[]
  putMinutes(sensor: number, begin: number, minutes: readonly Summary[]): void
}

/** blocks whose times are remembered */
const remembered = 256

export const blockTables = (db: Database): Blocks => {
  const put = (table: string) =>
    db.prepare<[number, number, Buffer]>(`INSERT OR REPLACE INTO ${table} (key, count, data) VALUES (?, ?, ?)`)
  const get = (table: string) => db.prepare<[number], Buffer>(`SELECT data FROM ${table} WHERE key = ?`).pluck()
  const putReadings = put('reading_blocks')
  const putMinutes = put('minute_blocks')
  const getReadings = get('reading_blocks')
  const getMinutes = get('minute_blocks')
  const range = db.prepare<[number, number], { key: number; data: Buffer }>(
    'SELECT key, data FROM reading_blocks WHERE key >= ? AND key < ? ORDER BY key',
  )
  const next = db
    .prepare<[number], number>('SELECT key FROM reading_blocks WHERE key >= ? ORDER BY key LIMIT 1')
    .pluck()
  const times = new Map<number, Set<number>>()

  return {
    ...dayTable(db),
    readings(sensor, begin) {
      const data = getReadings.get(hourKey(sensor, begin))
      return data ? decodeReadings(data, begin) : null
    },
    putReadings(sensor, begin, readings) {
      putReadings.run(hourKey(sensor, begin), readings.at.length, encodeReadings(readings, begin))
    },
    *ofHour(begin) {
      for (const { key, data } of range.all(hourKey(0, begin), hourKey(0, begin + hour)))
        yield [sensorOfKey(key), decodeReadings(data, begin)]
    },
    nextHour(time) {
      const key = next.get(hourKey(0, beginOf(time, hour)))
      return key === undefined ? undefined : hourOfKey(key)
    },
    has(sensor, at) {
      const begin = beginOf(at, hour)
      const key = hourKey(sensor, begin)
      let known = times.get(key)
      if (!known) {
        const data = getReadings.get(key)
        known = new Set(data ? decodeTimes(data, begin) : [])
        if (times.size >= remembered) times.clear()
        times.set(key, known)
      }
      return known.has(at)
    },
    changed() {
      times.clear()
    },
    minutes(sensor, begin) {
      const data = getMinutes.get(hourKey(sensor, begin))
      return data ? decodeSummaries(data, begin, minuteWidth) : []
    },
    putMinutes(sensor, begin, minutes) {
      putMinutes.run(hourKey(sensor, begin), minutes.length, encodeSummaries(minutes, begin, minuteWidth))
    },
  }
}
