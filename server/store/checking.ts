import type { Database } from 'better-sqlite3'
import type { Blocks } from './blocks.js'
import { day, dayOfKey, hourOfKey, sensorOfDayKey, sensorOfKey } from './keys.js'

/** ms of work at once; one block at least is read */
const sliceTime = 4
/** ms from the beginning of a round to that of the next */
const pause = day

/**
 * Reads every block once a day, some at a time, so that damage is found while a copy of before is still kept.
 *
 * @returns what does the next few; it tells whether the round goes on. Times in ms
 */
export const createChecking = (db: Database, blocks: Blocks): ((now: number) => boolean) => {
  const keys = (table: string) =>
    db.prepare<[number], number>(`SELECT key FROM ${table} WHERE key > ? ORDER BY key LIMIT 1`).pluck()
  const tables: { next: ReturnType<typeof keys>; read: (key: number) => void }[] = [
    { next: keys('reading_blocks'), read: key => blocks.readings(sensorOfKey(key), hourOfKey(key)) },
    { next: keys('minute_blocks'), read: key => blocks.minutes(sensorOfKey(key), hourOfKey(key)) },
    {
      next: keys('quarter_hour_blocks'),
      read(key) {
        const [sensor, begin] = [sensorOfDayKey(key), dayOfKey(key)]
        blocks.quarterHours(sensor, begin, begin + day)
        blocks.hours(sensor, begin, begin + day)
      },
    },
  ]
  let table = 0
  let last = -1
  let began = Number.NEGATIVE_INFINITY
  return now => {
    if (table === tables.length) {
      if (Math.abs(now - began) < pause) return false
      table = 0
    }
    if (table === 0 && last === -1) began = now
    const until = performance.now() + sliceTime
    do {
      const { next, read } = tables[table]!
      const key = next.get(last)
      if (key === undefined) {
        table += 1
        last = -1
        continue
      }
      // first: what cannot even be read is not met again and again
      last = key
      read(key)
    } while (table < tables.length && performance.now() < until)
    return table < tables.length
  }
}
