import type { Logger } from './log.js'

/**
 * Stores facts as they come up. What cannot be stored now (a full disk) is tried again when it is next called.
 *
 * @param write stores some, all or none
 * @param most so many at once
 * @param what they are, for the log
 */
export const factRecorder = <Fact>(
  write: (facts: readonly Fact[]) => void,
  most: number,
  what: string,
  log: Logger,
): ((facts: readonly Fact[]) => void) => {
  const waiting: Fact[] = []
  let troubled = false
  return facts => {
    for (const fact of facts) waiting.push(fact)
    try {
      while (waiting.length > 0) {
        write(waiting.slice(0, most))
        waiting.splice(0, most)
      }
      troubled = false
    } catch (error) {
      if (!troubled) log.error({ err: error }, `${what} cannot be stored; trying again. Check that the disk has room.`)
      troubled = true
    }
  }
}
