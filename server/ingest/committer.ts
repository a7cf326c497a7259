import type { SqliteStore } from '../store/sqlite.js'
import type { GroupSteps } from './group.js'
import type { Reading } from './reading.js'
import type { StatisticsKeeper } from './statistics.js'

export interface IngestLog {
  info(text: string): void
  warn(text: string): void
  error(text: string): void
}

export interface CommitterOptions {
  store: Pick<SqliteStore, 'append' | 'recordRefusals'>
  statistics: StatisticsKeeper
  /** ms since 1970 */
  clock: () => number
  onReadings(readings: readonly Reading[]): void
  log: IngestLog
}

export interface Committer extends Omit<GroupSteps, 'acknowledge'> {
  /** the last commit failed */
  failing(): boolean
}

export const wordsFor = (error: unknown): string => (error instanceof Error ? error.message : String(error))

/** Brings groups into the store and what is new on to the monitor; a trouble is said once when it begins and ends. */
export const createCommitter = ({ store, statistics, clock, onReadings, log }: CommitterOptions): Committer => {
  let failing = false
  return {
    failing: () => failing,
    commit(readings, refusals) {
      // refusals first: were they to fail after the readings, the readings sent again would be duplicates, passed on to
      // nobody
      store.recordRefusals(refusals)
      const fresh = store.append(readings)
      statistics.committed(clock(), readings.length, fresh.length, refusals)
      if (failing) log.info('Readings are stored again; the broker has kept what came meanwhile.')
      failing = false
      return fresh
    },
    committed(fresh) {
      if (fresh.length === 0) return
      try {
        onReadings(fresh)
      } catch (error) {
        log.error(`Readings were stored but could not be passed on: ${wordsFor(error)}`)
      }
    },
    failed(error) {
      statistics.commitFailed()
      if (!failing)
        log.error(
          `Readings cannot be stored: ${wordsFor(error)}. They are not acknowledged, so the broker keeps them as far ` +
            'as its queue allows; trying again. See that the disk has room and no other program holds the database.',
        )
      failing = true
    },
  }
}
