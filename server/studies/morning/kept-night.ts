import { quarterHour } from '../../history/index.js'
import type { NightStudy } from './night.js'

/** ms; a page that asks while nothing is known yet is answered without the night after so long, and asks again */
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

/** The night, computed once a quarter of an hour and kept. */
export interface KeptNight {
  /**
   * The one of this quarter hour, or the last one while that is computed.
   *
   * @param patience ms; how long the first one is waited for
   * @returns null while there is none yet
   */
  now(patience?: number): Promise<NightStudy | null>
  stop(): void
}

/**
 * @param compute the study, on the worker
 * @param clock   ms
 * @param ready   false while a history is filled in, whose nights nobody looks back on
 * @param failed  is told when it could not be computed: the last one stays, and the next look tries again
 */
export const keepNight = (
  compute: () => Promise<NightStudy>,
  clock: () => number,
  ready: () => boolean,
  failed: (error: unknown) => void,
): KeptNight => {
  let kept: NightStudy | null = null
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
