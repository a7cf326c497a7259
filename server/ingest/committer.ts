import type { SqliteStore } from '../store/sqlite.js'
import { storeTrouble } from '../store/trouble.js'
import type { GroupSteps } from './group.js'
import type { Reading } from './reading.js'
import type { StatisticsKeeper } from './statistics.js'

export interface IngestLog {
  info(text: string): void
  warn(text: string): void
  error(text: string): void
}

interface CommitterOptions {
  /**
   * It answers at once: commit, acknowledgement and passing on are one step, between which nothing else comes. A store beyond
   * a network would commit to a journal on this computer first, and pass that on; so a network that is down stops nothing.
   */
  store: Pick<SqliteStore, 'append' | 'recordRefusals'>
  statistics: StatisticsKeeper
  /** ms since 1970 */
  clock: () => number
  onReadings(readings: readonly Reading[]): void
  /** why readings cannot be stored, and what to do; null: they can again */
  onUnstored?(why: string | null): void
  log: IngestLog
}

interface Committer extends Omit<GroupSteps, 'acknowledge'> {
  /** the last commit failed */
  failing(): boolean
}

export const wordsFor = (error: unknown): string => (error instanceof Error ? error.message : String(error))

/** Brings groups into the store and what is new on to the monitor; a trouble is said once when it begins and ends. */
export const createCommitter = ({
  store,
  statistics,
  clock,
  onReadings,
  onUnstored,
  log,
}: CommitterOptions): Committer => {
  let failing = false
  let said = ''
  return {
    failing: () => failing,
    isOfMessage: error => (error instanceof RangeError || error instanceof TypeError) && storeTrouble(error) === null,
    commit(readings, refusals) {
      // refusals first: were they to fail after the readings, the readings sent again would be duplicates, passed on to
      // nobody
      store.recordRefusals(refusals)
      const fresh = store.append(readings)
      statistics.committed(clock(), readings.length, fresh.length, refusals)
      if (failing) {
        log.info('Readings are stored again; the broker has kept what came meanwhile.')
        onUnstored?.(null)
      }
      failing = false
      said = ''
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
      failing = true
      const trouble = storeTrouble(error) ?? {
        what: wordsFor(error),
        remedy: 'See that the disk has room and no other program holds the database.',
      }
      // a disk that was full and is now damaged is another trouble, with another remedy
      if (said === trouble.what) return
      said = trouble.what
      log.error(
        `Readings cannot be stored: ${trouble.what} (${wordsFor(error)}). They are not acknowledged, so the broker keeps ` +
          `them as far as its queue allows; trying again. ${trouble.remedy}`,
      )
      onUnstored?.(`Readings cannot be stored: ${trouble.what}. They wait at the broker. ${trouble.remedy}`)
    },
  }
}
