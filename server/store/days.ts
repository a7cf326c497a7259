import type { Database } from 'better-sqlite3'
import { decodeSummaries, encodeSummaries, type Summary } from './block.js'
import { withChecksum } from './checksum.js'
import type { Damage } from './damage.js'
import { beginOf, day, dayKey, dayOfKey, hour } from './keys.js'
import { quarterHourWidth, rolledUp, withoutRounding } from './summaries.js'

/** Summaries of sealed readings by the day: a block of quarter hours for each sensor, and beside it the same by the hour. */
export interface Days {
  /** that begin from `from` to before `to`, ms */
  quarterHours(sensor: number, from: number, to: number): Summary[]
  /** likewise; a year of them is read in some ms */
  hours(sensor: number, from: number, to: number): Summary[]
  /** of the day that begins at `begin`, ms, and so its hours too */
  putQuarterHours(sensor: number, begin: number, quarterHours: readonly Summary[]): void
}

/** days beyond these would be another sensor's keys */
const lastDay = 2 ** 22 - 1

/** @param minutes of a sensor's hour (its beginning, ms), from which damaged quarter hours are made anew */
export const dayTable = (
  db: Database,
  damage: Damage,
  minutes: (sensor: number, begin: number) => readonly Summary[],
): Days => {
  const put = db.prepare<[number, number, Buffer, Buffer]>(
    'INSERT OR REPLACE INTO quarter_hour_blocks (key, count, data, hours) VALUES (?, ?, ?, ?)',
  )
  const remove = db.prepare<[number]>('DELETE FROM quarter_hour_blocks WHERE key = ?')
  const select = (columns: string) =>
    db
      .prepare<[number, number], [key: number, block: Buffer, old: Buffer | null]>(
        `SELECT key, ${columns} FROM quarter_hour_blocks WHERE key >= ? AND key < ? ORDER BY key`,
      )
      .raw()
  const quarterHours = select('data, NULL')
  // a block that was written before there were hours has none
  const hours = select('hours, CASE WHEN hours IS NULL THEN data END')

  const putQuarterHours = (sensor: number, begin: number, rows: readonly Summary[]): void => {
    const byHour = withoutRounding(rolledUp(rows, hour))
    const key = dayKey(sensor, begin)
    if (rows.length === 0) return void remove.run(key)
    put.run(
      key,
      rows.length,
      withChecksum(encodeSummaries(rows, begin, quarterHourWidth), `quarter hours ${key}`),
      withChecksum(encodeSummaries(byHour, begin, hour), `hours ${key}`),
    )
  }

  /** of the whole day that begins at `begin` */
  const quarterHoursAt = (sensor: number, begin: number, key: number, data: Buffer): Summary[] => {
    const found = damage.intact(data, `quarter hours ${key}`, bytes => decodeSummaries(bytes, begin, quarterHourWidth))
    if (found) return found
    const fine: Summary[] = []
    for (let at = begin; at < begin + day; at += hour) fine.push(...minutes(sensor, at))
    const rows = withoutRounding(rolledUp(fine, quarterHourWidth))
    const part = { kind: 'quarter hours', sensor, from: begin, to: begin + day, remade: rows.length > 0, data } as const
    damage.setAside([part], () => putQuarterHours(sensor, begin, rows))
    return rows
  }

  const hoursAt = (sensor: number, begin: number, key: number, block: Buffer, old: Buffer | null): Summary[] => {
    if (old) return rolledUp(quarterHoursAt(sensor, begin, key, old), hour)
    const found = damage.intact(block, `hours ${key}`, bytes => decodeSummaries(bytes, begin, hour))
    if (found) return found
    const fine = quarterHours.get(key, key + 1)
    const rows = fine ? quarterHoursAt(sensor, begin, key, fine[1]) : []
    const part = { kind: 'hours', sensor, from: begin, to: begin + day, remade: rows.length > 0, data: block } as const
    damage.setAside([part], () => putQuarterHours(sensor, begin, rows))
    return rolledUp(rows, hour)
  }

  const between = (
    statement: typeof hours,
    [sensor, from, to]: [number, number, number],
    opened: typeof hoursAt,
  ): Summary[] => {
    const found: Summary[] = []
    const first = dayKey(sensor, beginOf(Math.max(from, 0), day))
    const end = dayKey(sensor, Math.min(Math.ceil(to / day), lastDay) * day)
    for (const [key, block, old] of statement.all(first, end))
      for (const row of opened(sensor, dayOfKey(key), key, block, old))
        if (row[0] >= from && row[0] < to) found.push(row)
    return found
  }

  return {
    quarterHours: (...span) => between(quarterHours, span, quarterHoursAt),
    hours: (...span) => between(hours, span, hoursAt),
    putQuarterHours,
  }
}
