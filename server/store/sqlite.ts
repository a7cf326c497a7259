import type { Refusal } from '../ingest/reading.js'
import { damaged, isDamage, openDatabase } from './database.js'
import { factTables } from './facts.js'
import { identificationTable } from './identifications.js'
import { importTables } from './imports.js'
import { measuredTables } from './measured.js'
import { readingTable } from './readings.js'
import { refusalTables } from './refusals.js'
import { pruner, type Retention, usualRetention } from './retention.js'
import { rollupWriter } from './rollups.js'
import { sensorNumbers } from './sensors.js'
import { seriesReader } from './series.js'
import type { Store } from './store.js'

export { StoreError } from './database.js'
export { type Retention, usualRetention } from './retention.js'

export interface StoreSettings {
  /** what is not given is as in `usualRetention` */
  retention?: Partial<Retention>
}

/** The store with what only its nearest neighbours need. */
export interface SqliteStore extends Store {
  /** as `recordRefusal`, many in one commit */
  recordRefusals(refusals: readonly Refusal[]): void
  /** deletes up to `most` rows that are too old, so that the caller can let other work in between; 0 when done */
  pruneSome(now: number, most: number): number
  /** ms; readings older than this are gone by retention; `append` leaves them out */
  keptSince(): number
  /** a name this database got when it was made; stays for its life, so the broker knows the service again */
  readonly serviceId: string
}

/**
 * Opens, or makes, the database in `folder`.
 *
 * WAL with synchronous = FULL: what `append` has returned for survives the process and the machine losing power.
 *
 * @throws StoreError when it is damaged, foreign, newer than this program or in use; it is never overwritten
 */
export const openStore = (folder: string, settings: StoreSettings = {}): SqliteStore => {
  const { db, file, close } = openDatabase(folder)
  try {
    const sensors = sensorNumbers(db)
    const readings = readingTable(db, sensors, rollupWriter(db))
    const series = seriesReader(db, sensors)
    const facts = factTables(db)
    const measured = measuredTables(db)
    const identifications = identificationTable(db)
    const imports = importTables(db)
    const refusals = refusalTables(db)
    const old = pruner(db, { ...usualRetention, ...settings.retention })
    const serviceId = db.prepare<[], string>('SELECT service FROM identity').pluck().get() ?? ''
    return {
      append: found => readings.append(found, old.keptSince()),
      latest: readings.latest,
      readings: readings.between,
      series,
      ...facts,
      ...measured,
      ...identifications,
      ...imports,
      recordRefusal: refusal => refusals.record([refusal]),
      recordRefusals: refusals.record,
      refusals: refusals.read,
      prune: now => old.prune(now, Number.POSITIVE_INFINITY),
      pruneSome: old.prune,
      keptSince: old.keptSince,
      serviceId,
      close,
    }
  } catch (error) {
    close()
    throw isDamage(error) ? damaged(file, 'its tables cannot be read') : error
  }
}
