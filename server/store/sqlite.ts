import { join } from 'node:path'
import { highest } from '../../core/statistics/index.js'
import type { RefusalsAnswer } from '../http/schemas/answers.js'
import type { Reading, Refusal } from '../ingest/reading.js'
import { type FormerIds, formerIdsOf } from '../shop/formerly.js'
import { createChecking } from './checking.js'
import { copyDatabase } from './copy.js'
import { type Damaged, damageTable, damageWords } from './damage.js'
import { damaged, isDamage, openDatabase } from './database.js'
import { factTable } from './facts.js'
import { withFormer } from './former.js'
import { underPresentIds } from './former-facts.js'
import { importedTable } from './imported.js'
import { inspectionTable } from './inspections.js'
import { adoptShop, formerNumbers, type StoredShop, type Unclaimed, unclaimedIn } from './known-shop.js'
import { livedDays } from './lived-days.js'
import { openReadings } from './open-readings.js'
import { type StoreGone, watchPresence } from './presence.js'
import { readingTable } from './readings.js'
import { refusalTables } from './refusals.js'
import { pruner, type Retention, usualRetention } from './retention.js'
import type { Sealing } from './sealing.js'
import { sensorNumbers } from './sensors.js'
import { seriesReader } from './series.js'
import type { Series, Store } from './store.js'
import { StoreError } from './store-error.js'

export { StoreError } from './database.js'
export { type Retention, usualRetention } from './retention.js'

interface StoreSettings {
  /** what is not given is as in `usualRetention` */
  retention?: Partial<Retention>
  /** ms of work in one slice of sealing; one step at least is done. 8 if not given */
  sealSlice?: number
  /** whose readings are asked for, under former ids too; without it, every id is taken as it is */
  shop?: StoredShop
  /** is told what a person should know, such as damage */
  say?: (text: string) => void
}

/** The store, which answers at once, with what only its nearest neighbours need. */
export interface SqliteStore extends Store {
  append(readings: readonly Reading[]): Reading[]
  appendImported(imported: number, readings: readonly Reading[]): Reading[]
  noted(imported: number): { readings: number; first: number } | null
  takeBackSome(imported: number): boolean
  latest(): Reading[]
  readings(from: number, to: number): Iterable<readonly Reading[]>
  series(sensor: string, from: number, to: number, points: number): Series
  recordRefusals(refusals: readonly Refusal[]): void
  refusals(): RefusalsAnswer
  close(): void
  /** deletes up to `most` rows that are too old, so that the caller can let other work in between; 0 when done */
  pruneSome(now: number, most: number): number
  /**
   * Brings some of what was appended into its final form, at most some 10 ms of it; call it every second between
   * commits, and soon again when it says so.
   *
   * @param now ms
   * @returns true when more is due
   * @throws Error when it cannot be written; nothing is lost, the next call tries again
   */
  sealSome(now: number): boolean
  /**
   * Reads some of what is stored, some ms of work, so that damage is found; everything once a day.
   *
   * @param now ms
   * @returns true while there is more to read
   */
  checkSome(now: number): boolean
  /** what was found damaged and set aside */
  damaged(): Damaged[]
  /**
   * Another shop file is to take effect.
   *
   * @throws StoreError when stored values would be read as what they are not, or it names other former ids, which are
   * looked up at a start; then nothing is changed
   */
  takeShop(shop: StoredShop): void
  /** what is stored under ids that the shop file does not know */
  unclaimed(): Unclaimed
  /**
   * Says that the service runs now (ms), once a day at least: how long readings are kept counts the days on which it did.
   * A store that is never told counts those of the calendar.
   *
   * @returns days since it last ran
   */
  noteDay(now: number): number
  /** @param now ms @returns ms; readings older than this are deleted at the next occasion */
  deletedBefore(now: number): number
  /** ms; readings older than this are gone by retention; `append` leaves them out */
  keptSince(): number
  /** why nothing can be stored: the files were deleted or replaced; null while they are there */
  gone(): StoreGone | null
  /** saves everything beside where the database was; call it when it is gone. @returns the file's path */
  rescue(): Promise<string>
  /** a name this database got when it was made; stays for its life, so the broker knows the service again */
  readonly serviceId: string
  /**
   * Where the database is at home. What is given is taken for it when none is known.
   *
   * @param here a name of the computer and folder it lies in now
   */
  homeOrHere(here: string): string
}

/** So that what waits stays bounded in memory. What was appended is committed: that sealing fails must not undo it. */
const sealAnyway = (sealing: Sealing, now: number): void => {
  try {
    sealing.sealSome(now)
  } catch {
    // whoever calls `sealSome` is told
  }
}

const newestOf = (readings: readonly Reading[], now: number): number | null => {
  const times = readings.map(({ at }) => at).filter(at => at <= now)
  return times.length > 0 ? highest(times) : null
}

/**
 * Opens, or makes, the database in `folder`.
 *
 * WAL with synchronous = FULL: what `append` has returned for survives the process and the machine losing power.
 *
 * @throws StoreError when it is damaged, foreign, newer than this program or in use, or its values would be read as what
 * they are not; it is never overwritten
 */
export const openStore = (folder: string, settings: StoreSettings = {}): SqliteStore => {
  const { say = () => {} } = settings
  const { db, file, close } = openDatabase(folder, say)
  try {
    const presence = watchPresence(db, file)
    let { shop } = settings
    const former = formerIdsOf(shop ?? { sensors: [], machines: [], workClasses: [] })
    const sensors = sensorNumbers(db, former.sensors)
    const damage = damageTable(db, damaged => say(damageWords(damaged)))
    const opened = openReadings(db, { damage, sliceTime: settings.sealSlice })
    const { sealing, tail, newest } = opened
    if (shop) adoptShop(db, shop, sensors, newest)
    const formerly = formerNumbers(sensors, former.sensors)
    for (const [present, before] of formerly)
      for (const number of before) {
        if (newest.at(number) >= 0) newest.offer(present, newest.at(number), newest.value(number), newest.delay(number))
        // what waits is looked up under the present number only
        if (tail.of(number, 0, Number.POSITIVE_INFINITY).at.length > 0) sealing.sealAll()
      }
    const stored = withFormer(opened.stored, formerly)
    const facts = underPresentIds(factTable(db, say), former)
    const inspections = inspectionTable(db, former, say)
    const refusals = refusalTables(db)
    const sealUpTo = (time: number) => {
      if ((tail.nextHour(0) ?? time) < time) sealing.sealAll()
    }
    const lived = livedDays(db)
    const old = pruner(db, lived, { ...usualRetention, ...settings.retention }, sealUpTo)
    const readings = readingTable(db, {
      ...opened,
      stored,
      sensors,
      keptSince: old.keptSince,
      assertThere: presence.assertThere,
    })
    const series = seriesReader(stored, sensors)
    const imported = importedTable(db, opened, sealing, damage, say)
    const prune = (now: number, most: number): number => {
      const deleted = old.prune(now, most)
      if (deleted === 0) imported.forget(old.keptSince())
      return deleted
    }
    const appended = (found: readonly Reading[], added: Reading[]): Reading[] => {
      if (sealing.behind()) sealAnyway(sealing, found.at(-1)?.receivedAt ?? 0)
      return added
    }
    const serviceId = db.prepare<[], string>('SELECT service FROM identity').pluck().get() ?? ''
    const takeHome = db.prepare<[string]>('UPDATE identity SET home = ? WHERE home IS NULL')
    const home = db.prepare<[], string>('SELECT home FROM identity').pluck()
    return {
      append: found => appended(found, readings.append(found)),
      appendImported: (id, found) =>
        appended(
          found,
          readings.append(found, added => imported.note(id, added)),
        ),
      noted: imported.noted,
      takeBackSome(id) {
        presence.assertThere()
        return imported.takeBackSome(id)
      },
      latest: readings.latest,
      readings: readings.between,
      series,
      facts,
      inspections: {
        ...inspections,
        add(id, entries) {
          presence.assertThere()
          inspections.add(id, entries)
        },
      },
      recordRefusals(refused) {
        presence.assertThere()
        refusals.record(refused)
      },
      refusals: refusals.read,
      pruneSome: prune,
      noteDay: now => lived.note(now, () => newestOf(readings.latest(), now)),
      deletedBefore: old.deletedBefore,
      keptSince: old.keptSince,
      sealSome: sealing.sealSome,
      checkSome: createChecking(db, opened.blocks),
      damaged: damage.all,
      takeShop(next) {
        const entries = (ids: FormerIds) => JSON.stringify(Object.values(ids).map(map => [...map]))
        if (entries(formerIdsOf(next)) !== entries(former))
          throw new StoreError(
            'The shop file names other ids under formerly than before. What is stored under them is looked up at a start: ' +
              'start the service again.',
          )
        adoptShop(db, next, sensors, newest)
        shop = next
      },
      unclaimed: () => (shop ? unclaimedIn(db, shop, sensors, newest) : { sensors: [], machines: [], workClasses: [] }),
      serviceId,
      homeOrHere(here) {
        takeHome.run(here)
        return home.get() ?? here
      },
      gone: presence.gone,
      async rescue() {
        const to = join(folder, `quiet-iron.rescued-${new Date().toISOString().replaceAll(':', '-')}.db`)
        await copyDatabase(db, to)
        presence.rescued(to)
        return to
      },
      close,
    }
  } catch (error) {
    close()
    throw isDamage(error) ? damaged(file, 'its tables cannot be read') : error
  }
}
