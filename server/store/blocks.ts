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
import { withChecksum } from './checksum.js'
import type { Damage } from './damage.js'
import { type Days, dayTable } from './days.js'
import { beginOf, hour, hourKey, hourOfKey, sensorOfKey } from './keys.js'
import { minuteWidth, summarised, withoutRounding } from './summaries.js'

/**
 * Sealed readings and their minutes in blocks, one for each sensor and hour; longer summaries lie by the day. A damaged
 * block is set aside when it is met and counts as not there; summaries are then made anew from what is finer.
 */
export interface Blocks extends Days {
  // what is put empty is removed
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
  minutes(sensor: number, begin: number): readonly Summary[]
  putMinutes(sensor: number, begin: number, minutes: readonly Summary[]): void
}

/** blocks whose times are remembered */
const remembered = 256

export const blockTables = (db: Database, damage: Damage): Blocks => {
  const put = (table: string) =>
    db.prepare<[number, number, Buffer]>(`INSERT OR REPLACE INTO ${table} (key, count, data) VALUES (?, ?, ?)`)
  const get = (table: string) => db.prepare<[number], Buffer>(`SELECT data FROM ${table} WHERE key = ?`).pluck()
  const remove = (table: string) => db.prepare<[number]>(`DELETE FROM ${table} WHERE key = ?`)
  const statements = (table: string) => ({ put: put(table), get: get(table), remove: remove(table) })
  const readings = statements('reading_blocks')
  const minutes = statements('minute_blocks')
  const range = db.prepare<[number, number], { key: number; data: Buffer }>(
    'SELECT key, data FROM reading_blocks WHERE key >= ? AND key < ? ORDER BY key',
  )
  const next = db
    .prepare<[number], number>('SELECT key FROM reading_blocks WHERE key >= ? ORDER BY key LIMIT 1')
    .pluck()
  const times = new Map<number, Set<number>>()

  /** what a block of readings holds; null when it is not there, or damaged */
  const opened = <T>(key: number, data: Buffer | undefined, decode: (bytes: Buffer, begin: number) => T): T | null => {
    if (!data) return null
    const begin = hourOfKey(key)
    const found = damage.intact(data, `readings ${key}`, bytes => decode(bytes, begin))
    if (found === null)
      damage.setAside(
        [{ kind: 'readings', sensor: sensorOfKey(key), from: begin, to: begin + hour, remade: false, data }],
        () => readings.remove.run(key),
      )
    return found
  }
  const readingsAt = (sensor: number, begin: number) => {
    const key = hourKey(sensor, begin)
    return opened(key, readings.get.get(key), decodeReadings)
  }
  const putMinutes = (sensor: number, begin: number, rows: readonly Summary[]) => {
    const key = hourKey(sensor, begin)
    if (rows.length === 0) return void minutes.remove.run(key)
    const bytes = withChecksum(encodeSummaries(rows, begin, minuteWidth), `minutes ${key}`)
    minutes.put.run(key, rows.length, bytes)
  }
  const minutesAt = (sensor: number, begin: number): readonly Summary[] => {
    const key = hourKey(sensor, begin)
    const data = minutes.get.get(key)
    if (!data) return []
    const found = damage.intact(data, `minutes ${key}`, bytes => decodeSummaries(bytes, begin, minuteWidth))
    if (found) return found
    const fine = readingsAt(sensor, begin)
    const rows = fine ? withoutRounding(summarised(fine, minuteWidth)) : []
    const remade = rows.length > 0
    damage.setAside([{ kind: 'minutes', sensor, from: begin, to: begin + hour, remade, data }], () =>
      putMinutes(sensor, begin, rows),
    )
    return rows
  }

  return {
    ...dayTable(db, damage, minutesAt),
    readings: readingsAt,
    putReadings(sensor, begin, found) {
      const key = hourKey(sensor, begin)
      if (found.at.length === 0) return void readings.remove.run(key)
      readings.put.run(key, found.at.length, withChecksum(encodeReadings(found, begin), `readings ${key}`))
    },
    *ofHour(begin) {
      for (const { key, data } of range.all(hourKey(0, begin), hourKey(0, begin + hour))) {
        const found = opened(key, data, decodeReadings)
        if (found) yield [sensorOfKey(key), found]
      }
    },
    nextHour(time) {
      const key = next.get(hourKey(0, beginOf(time, hour)))
      return key === undefined ? undefined : hourOfKey(key)
    },
    has(sensor, at) {
      const key = hourKey(sensor, beginOf(at, hour))
      let known = times.get(key)
      if (!known) {
        known = new Set(opened(key, readings.get.get(key), decodeTimes) ?? [])
        if (times.size >= remembered) times.clear()
        times.set(key, known)
      }
      return known.has(at)
    },
    changed() {
      times.clear()
    },
    minutes: minutesAt,
    putMinutes,
  }
}
