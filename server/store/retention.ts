import type { Database } from 'better-sqlite3'

/** How long each kind of history is kept, in days. */
export interface Retention {
  readingDays: number
  minuteDays: number
  quarterHourDays: number
}

export const usualRetention: Retention = { readingDays: 90, minuteDays: 2 * 365, quarterHourDays: 10 * 365 }

const day = 86_400_000
/** rows deleted in one transaction; about 10 ms */
const chunk = 5_000

export interface Pruner {
  /** ms; readings older than this are gone and are not taken any more */
  keptSince(): number
  /** deletes up to `most` rows that are too old; @returns how many, 0 when nothing is left to delete */
  prune(now: number, most: number): number
}

/**
 * @throws RangeError when a time is not positive, or readings would be kept longer than their summaries
 */
export const pruner = (db: Database, retention: Retention): Pruner => {
  const { readingDays, minuteDays, quarterHourDays } = retention
  if (!(readingDays > 0 && minuteDays >= readingDays && quarterHourDays >= minuteDays))
    throw new RangeError(
      `Retention must rise from readings (${readingDays} d) over minutes (${minuteDays} d) to quarter hours ` +
        `(${quarterHourDays} d), all above 0.`,
    )
  const levels = [
    { table: 'readings', days: readingDays },
    { table: 'minutes', days: minuteDays },
    { table: 'quarter_hours', days: quarterHourDays },
  ].map(({ table, days }) => ({
    days,
    // the oldest rows of one sensor lie side by side, so this touches few pages
    remove: db.prepare<[number, number, number, number]>(
      `DELETE FROM ${table} WHERE sensor = ? AND at IN
       (SELECT at FROM ${table} WHERE sensor = ? AND at < ? ORDER BY at LIMIT ?)`,
    ),
  }))
  const sensors = db.prepare<[], number>('SELECT id FROM sensors').pluck()
  const mark = db.prepare<[number, number]>('UPDATE identity SET kept_since = ? WHERE kept_since < ?')
  const marked = db.prepare<[], number>('SELECT kept_since FROM identity').pluck()
  let keptSince = marked.get() ?? 0

  const removeChunk = db.transaction((now: number, most: number): number => {
    const since = Math.floor(now - readingDays * day)
    // said first: a reading deleted here must not be taken again as a new one when it is sent twice
    mark.run(since, since)
    let deleted = 0
    for (const { days, remove } of levels)
      for (const sensor of sensors.all()) {
        if (deleted >= most) return deleted
        deleted += remove.run(sensor, sensor, Math.floor(now - days * day), most - deleted).changes
      }
    return deleted
  })

  return {
    keptSince: () => keptSince,
    prune(now, most) {
      let deleted = 0
      while (deleted < most) {
        const gone = removeChunk.immediate(now, Math.min(chunk, most - deleted))
        keptSince = marked.get() ?? keptSince
        deleted += gone
        if (gone === 0) break
      }
      return deleted
    },
  }
}
