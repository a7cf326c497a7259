import { ZodError } from 'zod'
import type { Logger } from './log.js'

/**
 * Stores facts as they come up. What cannot be stored now (a full disk) is tried again when it is next called.
 *
 * @param write stores some, all or none
 * @param what they are, for the log
 * @returns takes facts; its promise is kept when those that wait are stored, or could not be
 */
export const factRecorder = <Entry>(
  write: (facts: readonly Entry[]) => Promise<unknown>,
  what: string,
  log: Logger,
): ((facts: readonly Entry[]) => Promise<void>) => {
  const waiting: Entry[] = []
  let writing = false
  let written = Promise.resolve()
  let troubled = false
  let atOnce = 1000
  const writeAll = async () => {
    try {
      while (waiting.length > 0) {
        const some = waiting.slice(0, atOnce)
        try {
          await write(some)
        } catch (error) {
          if (!(error instanceof ZodError)) throw error
          // one that is not what its kind says is this program's mistake, and must not keep the others waiting
          if (some.length > 1) {
            atOnce = 1
            continue
          }
          log.error({ err: error, fact: some[0] }, `one of ${what} is not as it must be, and is not stored`)
        }
        waiting.splice(0, some.length)
      }
      troubled = false
      atOnce = 1000
    } catch (error) {
      if (!troubled) log.error({ err: error }, `${what} cannot be stored; trying again. Check that the disk has room.`)
      troubled = true
    }
    writing = false
  }
  return facts => {
    for (const fact of facts) waiting.push(fact)
    if (writing || waiting.length === 0) return written
    writing = true
    written = writeAll()
    return written
  }
}
