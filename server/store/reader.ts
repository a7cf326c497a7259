import { join } from 'node:path'
import Database from 'better-sqlite3'
import { formerIdsOf } from '../shop/formerly.js'
import { databaseFile } from './database.js'
import { factTable } from './facts.js'
import { withFormer } from './former.js'
import { underPresentIds } from './former-facts.js'
import { inspectionTable } from './inspections.js'
import { beginOf, hour } from './keys.js'
import { formerNumbers, type StoredShop } from './known-shop.js'
import { openReadings } from './open-readings.js'
import { readingTable } from './readings.js'
import { sensorNumbers } from './sensors.js'
import { seriesReader } from './series.js'
import type { SqliteStore } from './sqlite.js'

/** What studies of the past ask of a store. */
export type PastReader = Pick<SqliteStore, 'readings' | 'series' | 'facts' | 'inspections'> & {
  /** lets go of the snapshot, so that the database can tidy up; `readings` goes on to give those that were in it */
  release(): void
  close(): void
}

/**
 * Reads the database of a service that runs, beside it, from another thread: everything that was committed when it
 * was opened, readings that wait in the journal too. It cannot write.
 *
 * @param folder the service's, whose database it has opened for that shop
 */
export const openReader = (folder: string, shop: StoredShop): PastReader => {
  const db = new Database(join(folder, databaseFile), { readonly: true, timeout: 1000 })
  try {
    // one snapshot for all that is read: a round of sealing in between would let readings be found twice, or not at all
    db.exec('BEGIN')
    const former = formerIdsOf(shop)
    const sensors = sensorNumbers(db, former.sensors)
    const readings = openReadings(db)
    const stored = withFormer(readings.stored, formerNumbers(sensors, former.sensors))
    const table = readingTable(db, { ...readings, stored, sensors, keptSince: () => 0 })
    const inOneSnapshot = <T>(work: () => T): T => {
      if (db.inTransaction) return work()
      return db.transaction(work)()
    }
    return {
      // An export may take as long as its reader likes. A snapshot held all that time would let the write-ahead log grow,
      // so each hour is looked up in a snapshot of its own; what was sealed meanwhile is in memory too, and counts once.
      *readings(from, to) {
        for (let begin = beginOf(Math.max(from, 0), hour); begin < to; begin += hour) {
          const next = inOneSnapshot(() => stored.nextHour(begin))
          if (next === undefined || next >= to) return
          begin = next
          const ofHour = table.between(Math.max(from, begin), Math.min(to, begin + hour))[Symbol.iterator]()
          for (let step = inOneSnapshot(() => ofHour.next()); !step.done; step = ofHour.next()) yield step.value
        }
      },
      series: seriesReader(stored, sensors),
      // the service itself says what cannot be read
      facts: underPresentIds(
        factTable(db, () => undefined),
        former,
      ),
      inspections: inspectionTable(db, former, () => undefined),
      release() {
        if (db.inTransaction) db.exec('COMMIT')
      },
      close: () => db.close(),
    }
  } catch (error) {
    db.close()
    throw error
  }
}
