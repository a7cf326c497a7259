import type { Service } from '../service.js'

/** ms between two looks at how far it is */
const look = 250
/** ms; how near the newest reading must come to the clock, so that no sensor seems late when the clock takes over */
const near = 5_000
/** ms without any progress after which it is said that something is wrong, or, at the end, that nothing more comes */
const patience = 20_000

interface Filling {
  /** ms; beginning and end of the history. What happened while it was filled in comes after it. */
  from: number
  to: number
  /** ms; how long after it every sensor has reported at its own interval: until then some seem late */
  round: number
  /** part done, 0..1 */
  onProgress(part: number): void
  /** the history has come to a moment, ms */
  onMoment?(now: number): Promise<void>
  /** nothing has come for a while */
  onStuck(seconds: number): void
}

/**
 * Watches the history come in: tells the monitor how far it is, and hands time over to the clock at its end.
 *
 * @returns when it is filled; never when it is ended before by the signal
 */
export const watchFilling = (service: Service, filling: Filling, signal: AbortSignal): Promise<void> =>
  new Promise(resolve => {
    let reached = filling.from
    let moved = Date.now()
    const timer = setInterval(() => {
      const now = service.now()
      const still = now > reached ? 0 : Date.now() - moved
      if (still === 0) moved = Date.now()
      reached = now
      filling.onMoment?.(now).catch(() => {
        // what could not be done now is tried again at the next moment
      })
      const caughtUp = now >= filling.to + filling.round && now >= Date.now() - near
      if (caughtUp || (now >= filling.to && still > patience)) {
        clearInterval(timer)
        service.historyFilled()
        filling.onProgress(1)
        resolve()
        return
      }
      if (still > patience) {
        filling.onStuck(Math.round(still / 1000))
        moved = Date.now()
      }
      const part = Math.min(0.999, (now - filling.from) / (filling.to - filling.from))
      service.monitor.setFilling(part)
      filling.onProgress(part)
    }, look)
    signal.addEventListener('abort', () => clearInterval(timer))
  })
