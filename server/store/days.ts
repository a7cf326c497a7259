import type { Database } from 'better-sqlite3'
import { decodeSummaries, encodeSummaries, type Summary } from './block.js'
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

export const dayTable = (db: Database): Days => {
  const put = db.prepare<[number, number, Buffer, Buffer]>(
    'INSERT OR REPLACE INTO quarter_hour_blocks (key, count, data, hours) VALUES (?, ?, ?, ?)',
  )
  const select = (columns: string) =>
    db
      .prepare<[number, number], [key: number, block: Buffer, old: Buffer | null]>(
        `SELECT key, ${columns} FROM quarter_hour_blocks WHERE key >= ? AND key < ? ORDER BY key`,
      )
      .raw()
  const quarterHours = select('data, NULL')
  // a block that was written before there were hours has none
  const hours = select('hours, CASE WHEN hours IS NULL THEN data END')

  const between = (
    statement: typeof hours,
    [sensor, from, to]: [number, number, number],
    decode: (begin: number, block: Buffer, old: Buffer | null) => Summary[],
  ): Summary[] => {
    const found: Summary[] = []
    const first = dayKey(sensor, beginOf(Math.max(from, 0), day))
    const end = dayKey(sensor, Math.min(Math.ceil(to / day), lastDay) * day)
    for (const [key, block, old] of statement.all(first, end))
      for (const row of decode(dayOfKey(key), block, old)) if (row[0] >= from && row[0] < to) found.push(row)
    return found
  }

  return {
    quarterHours: (...span) =>
      between(quarterHours, span, (begin, block) => decodeSummaries(block, begin, quarterHourWidth)),
    hours: (...span) =>
      between(hours, span, (begin, block, old) =>
        old ? rolledUp(decodeSummaries(old, begin, quarterHourWidth), hour) : decodeSummaries(block, begin, hour),
      ),
    putQuarterHours(sensor, begin, rows) {
      const byHour = withoutRounding(rolledUp(rows, hour))
      put.run(
        dayKey(sensor, begin),
        rows.length,
        encodeSummaries(rows, begin, quarterHourWidth),
        encodeSummaries(byHour, begin, hour),
      )
    },
  }
}
