import type { Logger } from './log.js'
import type { SqliteStore } from './store/sqlite.js'

const hour = 3_600_000
/** readings deleted at once; other work goes on in between */
const step = 100_000
/** days without the service after which the clock is worth a question */
const longAway = 7

/**
 * Deletes what is too old, every hour, a little at a time. What is too old is told by the days on which the service ran
 * (see store/lived-days.ts), so that a wrong clock deletes nothing.
 *
 * @param every ms
 * @returns what ends it
 */
export const pruning = (
  store: Pick<SqliteStore, 'noteDay' | 'pruneSome'>,
  clock: () => number,
  log: Logger,
  every = hour,
): (() => void) => {
  let ended = false
  const prune = () => {
    if (ended) return
    try {
      noteDay()
      if (store.pruneSome(clock(), step) > 0) setTimeout(prune, 50)
    } catch (error) {
      log.error({ err: error }, 'old readings could not be deleted; trying again in an hour')
    }
  }
  const noteDay = () => {
    const away = store.noteDay(clock())
    if (away > longAway)
      log.warn(
        `By the clock the service has not run for ${away} days. Nothing is deleted because of them: how long readings are ` +
          'kept counts the days on which the service runs. If the clock is wrong, set it right (time service of this computer).',
      )
  }
  try {
    noteDay()
  } catch (error) {
    log.error({ err: error }, 'the day could not be noted; trying again in an hour')
  }
  const timer = setInterval(prune, every)
  return () => {
    ended = true
    clearInterval(timer)
  }
}
