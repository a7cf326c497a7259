import type { Database } from 'better-sqlite3'
import { beginOf, day, dayKey, hour, hourKey } from './keys.js'
import type { LivedDays } from './lived-days.js'

/** How long each kind of history is kept, in days. */
export interface Retention {
  readingDays: number
  minuteDays: number
  quarterHourDays: number
}

export const usualRetention: Retention = { readingDays: 90, minuteDays: 2 * 365, quarterHourDays: 10 * 365 }

/** readings or summaries deleted in one transaction; about 10 ms */
const chunk = 100_000
/** blocks looked at to find them */
const lookedAt = 2_000

interface Pruner {
  /** ms; readings older than this are gone and are not taken any more */
  keptSince(): number
  /** @param now ms @returns ms; readings older than this are deleted at the next occasion */
  deletedBefore(now: number): number
  /**
   * Deletes whole hours of readings and minutes, whole days of quarter hours, up to `most` in all; more only where a
   * single block holds more.
   *
   * @returns how many, 0 when nothing is left to delete
   */
  prune(now: number, most: number): number
}

/**
 * @param sealUpTo seals readings older than a time (ms) if any wait: only blocks are deleted
 * @throws RangeError when a time is not positive, or readings would be kept longer than their summaries
 */
export const pruner = (
  db: Database,
  lived: LivedDays,
  retention: Retention,
  sealUpTo: (time: number) => void,
): Pruner => {
  const { readingDays, minuteDays, quarterHourDays } = retention
  if (!(readingDays > 0 && minuteDays >= readingDays && quarterHourDays >= minuteDays))
    throw new RangeError(
      `Retention must rise from readings (${readingDays} d) over minutes (${minuteDays} d) to quarter hours ` +
        `(${quarterHourDays} d), all above 0.`,
    )
  /** by the clock, but never sooner than so many days have been lived */
  const keptFrom = (now: number, days: number) => Math.min(now - days * day, lived.begin(days, now))
  const blocksOf = (table: string) => ({
    oldest: db
      .prepare<[number, number, number], [key: number, count: number]>(
        `SELECT key, count FROM ${table} WHERE key >= ? AND key < ? ORDER BY key LIMIT ?`,
      )
      .raw(),
    remove: db.prepare<[number, number]>(`DELETE FROM ${table} WHERE key >= ? AND key <= ?`),
  })
  const readings = blocksOf('reading_blocks')
  const minutes = blocksOf('minute_blocks')
  const quarterHours = blocksOf('quarter_hour_blocks')
  const sensors = db.prepare<[], number>('SELECT id FROM sensors ORDER BY id').pluck()
  const mark = db.prepare<[number, number]>('UPDATE identity SET kept_since = ? WHERE kept_since < ?')
  const marked = db.prepare<[], number>('SELECT kept_since FROM identity').pluck()
  let keptSince = marked.get() ?? 0
  /** ms; quarter hours of before this day are gone already, so that not every sensor has to be looked at again */
  let daysGone = Number.NEGATIVE_INFINITY

  /** deletes blocks with from <= key < to as long as they hold no more than `most`, the first one in any case if told */
  const remove = (
    table: ReturnType<typeof blocksOf>,
    [from, to]: [number, number],
    most: number,
    oneAnyway: boolean,
  ): { gone: number; full: boolean } => {
    let gone = 0
    let last: number | undefined
    let full = false
    const oldest = table.oldest.all(from, to, lookedAt)
    for (const [key, count] of oldest) {
      full = gone + count > most && !(oneAnyway && last === undefined)
      if (full) break
      gone += count
      last = key
    }
    if (last !== undefined) table.remove.run(from, last)
    return { gone, full: full || oldest.length === lookedAt }
  }

  const removeChunk = db.transaction(
    (now: number, most: number, oneAnyway: boolean): { gone: number; days: number } => {
      const before = (days: number, width: number) => beginOf(Math.max(0, Math.floor(keptFrom(now, days))), width)
      const cuts = {
        readings: before(readingDays, hour),
        minutes: before(minuteDays, hour),
        quarter_hours: before(quarterHourDays, day),
      }
      // said first: a reading deleted here must not be taken again as a new one when it is sent twice
      mark.run(cuts.readings, cuts.readings)
      let gone = 0
      for (const [table, cut] of [
        [readings, cuts.readings],
        [minutes, cuts.minutes],
      ] as const) {
        const removed = remove(table, [0, hourKey(0, cut)], most - gone, oneAnyway && gone === 0)
        gone += removed.gone
        if (removed.full) return { gone, days: daysGone }
      }
      if (cuts.quarter_hours <= daysGone) return { gone, days: daysGone }
      for (const sensor of sensors.all()) {
        const span: [number, number] = [dayKey(sensor, 0), dayKey(sensor, cuts.quarter_hours)]
        const removed = remove(quarterHours, span, most - gone, oneAnyway && gone === 0)
        gone += removed.gone
        if (removed.full) return { gone, days: daysGone }
      }
      return { gone, days: cuts.quarter_hours }
    },
  )

  return {
    keptSince: () => keptSince,
    deletedBefore: now => keptFrom(now, readingDays),
    prune(now, most) {
      sealUpTo(Math.floor(keptFrom(now, readingDays)))
      let deleted = 0
      while (deleted < most) {
        const { gone, days } = removeChunk.immediate(now, Math.min(chunk, most - deleted), deleted === 0)
        keptSince = marked.get() ?? keptSince
        daysGone = days
        deleted += gone
        if (gone === 0) break
      }
      return deleted
    },
  }
}
