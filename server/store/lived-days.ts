import type { Database } from 'better-sqlite3'
import { day } from './keys.js'

/** days without the service after which its clock may as well have been set: another day must show that time goes on */
const longAway = 7

/**
 * The days on which the service ran, by its clock (UTC). Retention counts these, not those of the calendar: a clock that
 * is set years ahead makes what is stored no older. The first day after a long absence does not count, so that a clock
 * which is wrong anew at each start cannot make days either.
 */
export interface LivedDays {
  /**
   * Says that the service runs now.
   *
   * @param now ms
   * @param newestReading ms; asked where no day is noted yet: until then the service ran before; null when nothing is
   * stored
   * @returns days since it last ran, 0 when it ran today or never before; negative when the clock was ahead
   */
  note(now: number, newestReading: () => number | null): number
  /**
   * The beginning of the oldest of the newest `days` days before today on which it ran. Those before the first noted day
   * count by the calendar.
   *
   * @param now ms; days that lie ahead of it do not count
   * @returns ms; infinite when no day is noted
   */
  begin(days: number, now: number): number
}

export const livedDays = (db: Database): LivedDays => {
  const insert = db.prepare<[number, number]>('INSERT OR IGNORE INTO lived_days (day, counts) VALUES (?, ?)')
  // of the newest entry: by order of entry, for the clock may have been ahead
  const last = db.prepare<[], number>('SELECT day FROM lived_days ORDER BY id DESC LIMIT 1').pluck()
  const near = db.prepare<[number, number]>('SELECT 1 FROM lived_days WHERE day >= ? AND day < ?').pluck()
  const nth = db
    .prepare<[number, number], number>(
      'SELECT day FROM lived_days WHERE counts AND day <= ? ORDER BY day DESC LIMIT 1 OFFSET ?',
    )
    .pluck()
  const until = db
    .prepare<[number], [count: number, first: number | null]>(
      'SELECT count(*), min(day) FROM lived_days WHERE counts AND day <= ?',
    )
    .raw()
  const dayOf = (time: number) => Math.floor(time / day)
  let noted = Number.NaN
  return {
    note(now, newestReading) {
      const today = dayOf(now)
      if (today === noted) return 0
      const newest = last.get() === undefined ? newestReading() : null
      if (newest !== null) insert.run(Math.min(today, dayOf(newest)), 1)
      const before = last.get() ?? today
      insert.run(today, last.get() === undefined || near.get(today - longAway, today) !== undefined ? 1 : 0)
      noted = today
      return today - before
    },
    begin(days, now) {
      const today = dayOf(now)
      const back = Math.ceil(days)
      const found = nth.get(today, back)
      if (found !== undefined) return found * day
      const [count, first] = until.get(today)!
      return first === null ? Number.POSITIVE_INFINITY : (first - (back + 1 - count)) * day
    },
  }
}
