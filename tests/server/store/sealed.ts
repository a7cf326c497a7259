import { join } from 'node:path'
import Database from 'better-sqlite3'
import { openReadings } from '../../../server/store/open-readings.js'
import type { SqliteStore } from '../../../server/store/sqlite.js'

/** Seals all that the store has taken so far, slice by slice, as the service does when the hour is long over. */
export const sealed = (store: SqliteStore): void => {
  while (store.sealSome(2 ** 48));
}

/** Numbers of groups in the journal, and of readings in blocks, as they lie on the disk. */
export const onDisk = (folder: string): { groups: number; sealed: number } => {
  const db = new Database(join(folder, 'quiet-iron.db'), { readonly: true })
  const one = (sql: string) => db.prepare<[], number>(sql).pluck().get() ?? 0
  const groups = one('SELECT count(*) FROM journal')
  const found = { groups, sealed: one('SELECT total(count) FROM reading_blocks') }
  db.close()
  return found
}

interface Summary {
  sensor: string
  at: number
  count: number
  sum: number
  min: number
  max: number
}

const hour = 3_600_000
/** ms; of the kinds of summaries that are kept */
export const widths = [60_000, 900_000, 3_600_000] as const

/**
 * The summaries as a second process would find them on the disk, were this one killed now, and the same computed anew
 * from the readings the store gives.
 */
export const summaries = (
  store: SqliteStore,
  folder: string,
  width: (typeof widths)[number],
  [from, to]: readonly [number, number],
): { kept: Summary[]; anew: Summary[] } => {
  const db = new Database(join(folder, 'quiet-iron.db'), { readonly: true })
  const { stored } = openReadings(db)
  const of = {
    60000: stored.minutes,
    900000: (id: number, begin: number) => stored.quarterHours(id, begin, begin + hour),
    3600000: (id: number, begin: number) => stored.hours(id, begin, begin + hour),
  }
  const kept: Summary[] = []
  const sensors = db.prepare<[], { id: number; name: string }>('SELECT id, name FROM sensors ORDER BY name').all()
  for (const { id, name } of sensors)
    for (let begin = from; begin < to; begin += hour) {
      const rows = of[width](id, begin)
      for (const [at, count, sum, min, max] of rows) kept.push({ sensor: name, at, count, sum, min, max })
    }
  db.close()
  const anew = new Map<string, Summary>()
  for (const { sensor, at, value } of [...store.readings(from, to)].flat()) {
    const begin = at - (at % width)
    const summary = anew.get(`${sensor} ${begin}`)
    if (summary) {
      summary.count += 1
      summary.sum += value
      summary.min = Math.min(summary.min, value)
      summary.max = Math.max(summary.max, value)
    } else anew.set(`${sensor} ${begin}`, { sensor, at: begin, count: 1, sum: value, min: value, max: value })
  }
  const inOrder = [...anew.values()].sort((a, b) =>
    a.sensor === b.sensor ? a.at - b.at : a.sensor < b.sensor ? -1 : 1,
  )
  return { kept, anew: inOrder }
}
