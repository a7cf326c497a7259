import { quarterHour } from '../../history/index.js'

/** ms; a page that asks while nothing is known yet is answered without it after so long, and asks again */
const ofPage = 150
/** ms; how often it is looked whether a quarter of an hour is over, whether or not anybody asks */
const every = 60_000

const after = (ms: number) => {
  let timer: NodeJS.Timeout | undefined
  const promise = new Promise<void>(resolve => {
    timer = setTimeout(resolve, ms)
  })
  return { promise, end: () => clearTimeout(timer) }
}

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
  let running: Promise<void> | null = null
  let stopped = false

  const look = async (): Promise<void> => {
    const of = Math.floor(clock() / quarterHour)
    if (stopped || quarter === of || !ready()) return
    running ??= compute()
      .then(study => {
        kept = study
        quarter = of
      })
      .catch((error: unknown) => {
        if (!stopped) failed(error)
      })
      .finally(() => {
        running = null
      })
    await running
  }
  const timer = setInterval(() => void look(), every)
  timer.unref()

  return {
    async now(patience = ofPage) {
      const looked = look()
      if (!kept) {
        const { promise, end } = after(patience)
        await Promise.race([looked, promise])
        end()
      }
      return kept
    },
    stop() {
      stopped = true
      clearInterval(timer)
    },
  }
}
