import type { Logger } from './log.js'
import type { SqliteStore } from './store/sqlite.js'
import { storeTrouble } from './store/trouble.js'

/** ms between two looks, between two slices of sealing, and between two of checking */
const usualPause = 1_000
const sealPause = 25
const checkPause = 100
/** ms between two attempts to save what a database held that is gone */
const rescueEvery = 10_000

type Kept = Pick<SqliteStore, 'sealSome' | 'checkSome' | 'gone' | 'rescue'>

/**
 * Looks after the store between commits: seals what was appended, reads over what is stored so that damage is found, and
 * notices when the database's files are deleted or replaced; then it saves what they held.
 *
 * @param onUnstored is told why nothing can be stored, and what to do; null: it can again
 * @returns what ends it; a copy that is being saved is finished first
 */
export const upkeep = (
  store: Kept,
  clock: () => number,
  onUnstored: (why: string | null) => void,
  log: Logger,
): (() => Promise<void>) => {
  let timer: NodeJS.Timeout
  let said = ''
  let gone = false
  let saved = false
  let saving: Promise<void> | null = null
  let tried = Number.NEGATIVE_INFINITY

  /** one trouble makes one line */
  const say = (trouble: string, error: unknown): void => {
    if (said !== trouble) log.error({ err: error }, trouble)
    said = trouble
  }

  const save = async (): Promise<void> => {
    tried = performance.now()
    try {
      log.warn(`What the database held is saved as ${await store.rescue()}.`)
      saved = true
    } catch (error) {
      say(
        'What the database held cannot be saved yet; trying again. Make its folder writable, and room on its disk.',
        error,
      )
    }
    saving = null
  }

  const look = (): boolean => {
    const why = store.gone()
    if (why) {
      if (!saved && !saving && performance.now() - tried >= rescueEvery) saving = save()
      onUnstored(`Nothing can be stored: ${why.message}. Readings wait at the broker. ${why.remedy}`)
      if (!gone) log.error(`Nothing can be stored: ${why.message}. Readings wait at the broker. ${why.remedy}`)
    } else if (gone) {
      log.info('The database is back, and readings are stored again.')
      onUnstored(null)
      saved = false
      tried = Number.NEGATIVE_INFINITY
    }
    gone = why !== null
    return gone
  }

  const work = (): number => {
    if (look()) return usualPause
    try {
      if (store.sealSome(clock())) return sealPause
    } catch (error) {
      say('Readings are stored but cannot be sealed; trying again. Check that the disk has room.', error)
      return usualPause
    }
    try {
      if (store.checkSome(clock())) return checkPause
    } catch (error) {
      const trouble = storeTrouble(error)
      say(`A part of the database cannot be read: ${trouble?.what ?? 'see below'}. ${trouble?.remedy ?? ''}`, error)
      return usualPause
    }
    said = ''
    return usualPause
  }

  const next = (pause: number): void => {
    timer = setTimeout(() => next(work()), pause)
  }
  next(usualPause)
  return async () => {
    clearTimeout(timer)
    if (look()) await (saving ?? (saved ? null : save()))
  }
}
