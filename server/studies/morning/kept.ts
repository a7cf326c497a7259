import { quarterHour } from '../../history/index.js'
import { keptUpToDate } from '../../up-to-date.js'

/** ms; a page that asks while nothing is known yet is answered without it after so long, and asks again */
const ofPage = 150
/** ms; how often it is looked whether a quarter of an hour is over, whether or not anybody asks */
const every = 60_000

/** What costs something to compute, and is computed once a quarter of an hour and kept. */
export interface Kept<T> {
  /**
   * The one of this quarter hour, or the last one while that is computed.
   *
   * @param patience ms; how long the first one is waited for
   * @returns null while there is none yet
   */
  now(patience?: number): Promise<T | null>
  stop(): void
}

/**
 * @param compute on the worker, or in slices
 * @param clock   ms
 * @param ready   false while a history is filled in: nobody asks then
 * @param failed  is told when it could not be computed: the last one stays, and the next look tries again
 */
export const keepByQuarter = <T>(
  compute: () => Promise<T>,
  clock: () => number,
  ready: () => boolean,
  failed: (error: unknown) => void,
): Kept<T> => {
  let kept: T | null = null
  let quarter = Number.NaN
  const renew = async () => {
    const of = Math.floor(clock() / quarterHour)
    if (quarter === of) return
    kept = await compute()
    quarter = of
  }
  const upToDate = keptUpToDate({ every }, ready, renew, failed)
  return {
    async now(patience = ofPage) {
      const looked = upToDate.look()
      if (!kept) await Promise.race([looked, new Promise(resolve => setTimeout(resolve, patience))])
      return kept
    },
    stop: () => void upToDate.stop(),
  }
}
