import type { Database } from 'better-sqlite3'
import type { Readings, Summary } from './block.js'
import type { Blocks } from './blocks.js'
import { beginOf, day, hour } from './keys.js'
import { joined } from './readings-of.js'
import { addedUp } from './summaries.js'

/**
 * Readings and summaries as a database of before the blocks holds them, a row for each. They count as if they were
 * sealed and are moved into blocks little by little.
 */
export interface Rows {
  /** false when everything has been moved, so that nobody needs to look here */
  left(): boolean
  readings(sensor: number, from: number, to: number): Readings
  has(sensor: number, at: number): boolean
  newest(sensor: number): { at: number; value: number; delay: number } | undefined
  /** ms; the first reading's time from `time` on, of any sensor */
  next(time: number): number | undefined
  minutes(sensor: number, from: number, to: number): Summary[]
  quarterHours(sensor: number, from: number, to: number): Summary[]
  /** inside a transaction: moves one sensor's hour or day. @returns false when nothing was left */
  moveSome(blocks: Blocks): boolean
  /** after the commit of moving the last ones: looks whether there are any */
  moved(): void
  /** inside a transaction: deletes up to `most` rows with at < before; @returns how many */
  remove(table: RowTable, before: number, most: number): number
}
export type RowTable = 'readings' | 'minutes' | 'quarter_hours'

interface Place {
  sensor: number
  at: number
}

export const rowTables = (db: Database): Rows => {
  const part = 'WHERE sensor = ? AND at >= ? AND at < ?'
  const readings = db
    .prepare<[number, number, number], [number, number, number]>(
      `SELECT at, value, delay FROM readings ${part} ORDER BY at`,
    )
    .raw()
  const one = db.prepare<[number, number], number>('SELECT 1 FROM readings WHERE sensor = ? AND at = ?').pluck()
  const newest = db.prepare<[number], { at: number; value: number; delay: number }>(
    'SELECT at, value, delay FROM readings WHERE sensor = ? ORDER BY at DESC LIMIT 1',
  )
  const following = db
    .prepare<[number], number | null>(
      `SELECT min(at) FROM (SELECT (SELECT min(at) FROM readings WHERE sensor = s.id AND at >= ?) AS at FROM sensors s)`,
    )
    .pluck()
  const summaries = (table: RowTable) =>
    db
      .prepare<[number, number, number], Summary>(`SELECT at, count, sum, min, max FROM ${table} ${part} ORDER BY at`)
      .raw()
  const minutes = summaries('minutes')
  const quarterHours = summaries('quarter_hours')
  const first = (table: RowTable) =>
    db.prepare<[], Place>(`SELECT sensor, at FROM ${table} ORDER BY sensor, at LIMIT 1`)
  const remove = (table: RowTable) => db.prepare<[number, number, number]>(`DELETE FROM ${table} ${part}`)
  const of = (table: RowTable) => ({ first: first(table), remove: remove(table) })
  const tables = { readings: of('readings'), minutes: of('minutes'), quarter_hours: of('quarter_hours') }
  const sensors = db.prepare<[], number>('SELECT id FROM sensors').pluck()
  const oldest = (table: RowTable) =>
    db.prepare<[number, number, number, number]>(
      `DELETE FROM ${table} WHERE sensor = ? AND at IN
       (SELECT at FROM ${table} WHERE sensor = ? AND at < ? ORDER BY at LIMIT ?)`,
    )
  const removeOldest = {
    readings: oldest('readings'),
    minutes: oldest('minutes'),
    quarter_hours: oldest('quarter_hours'),
  }

  const readingsOf = (sensor: number, from: number, to: number): Readings => {
    const rows = readings.all(sensor, from, to)
    const column = (place: 0 | 1 | 2) => Float64Array.from(rows, row => row[place])
    return { at: column(0), value: column(1), delay: column(2) }
  }

  /** takes what lies with the first row of a table, in a span of `width`, to where `put` puts it */
  const move = (table: RowTable, width: number, put: (sensor: number, begin: number, end: number) => void): boolean => {
    const place = tables[table].first.get()
    if (!place) return false
    const begin = beginOf(place.at, width)
    put(place.sensor, begin, begin + width)
    tables[table].remove.run(place.sensor, begin, begin + width)
    return true
  }

  const anyLeft = () => Object.values(tables).some(table => table.first.get() !== undefined)
  let left = anyLeft()
  return {
    left: () => left,
    readings: readingsOf,
    has: (sensor, at) => one.get(sensor, at) !== undefined,
    newest: sensor => newest.get(sensor),
    next: time => following.get(time) ?? undefined,
    minutes: (sensor, from, to) => minutes.all(sensor, from, to),
    quarterHours: (sensor, from, to) => quarterHours.all(sensor, from, to),
    moveSome(blocks) {
      return (
        move('readings', hour, (sensor, begin, end) => {
          const before = blocks.readings(sensor, begin)
          const rows = readingsOf(sensor, begin, end)
          blocks.putReadings(sensor, begin, before ? joined(before, rows) : rows)
        }) ||
        move('minutes', hour, (sensor, begin, end) =>
          blocks.putMinutes(sensor, begin, addedUp(blocks.minutes(sensor, begin), minutes.all(sensor, begin, end))),
        ) ||
        move('quarter_hours', day, (sensor, begin, end) =>
          blocks.putQuarterHours(
            sensor,
            begin,
            addedUp(blocks.quarterHours(sensor, begin, end), quarterHours.all(sensor, begin, end)),
          ),
        )
      )
    },
    moved() {
      left = anyLeft()
    },
    remove(table, before, most) {
      let gone = 0
      for (const sensor of sensors.all()) {
        if (gone >= most) break
        gone += removeOldest[table].run(sensor, sensor, before, most - gone).changes
      }
      return gone
    },
  }
}
