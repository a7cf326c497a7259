import type { MachineState, ReadyTime } from '../../core/state.js'
import { waits } from './ready.js'

const MINUTE = 60_000
/** ms; ready times are judged where the wait, shown or true, is shorter; who is not ready by a day counts as a day */
const judged = 8 * 60 * MINUTE
const longest = 24 * 60 * MINUTE
/** ms; the true error must have stayed within the share so long */
const stay = 10 * MINUTE

/** A ready time that was found, and what came; minutes from that moment. */
export interface NamedTime {
  /** a time was named, too */
  named: boolean
  earliest: number
  likely: number
  latest: number
  /** from when the true error of a job begun then stayed within the share for ten minutes; null: not within a day */
  came: number | null
  /** the true error was within the share already */
  already: boolean
  /** whether fit was shown by the time named */
  kept: boolean
}

interface Open {
  at: number
  /** ms; what was named */
  fitBy: number | null
  already: boolean
  ready: ReadyTime
  /** since when the true error has been within the share, ms */
  since: number | null
  came: number | null
  kept: boolean
}

/** Compares ready times that were found with what then came, whatever became of the conditions. */
export class NamedTimes {
  readonly record: NamedTime[] = []
  private readonly open = new Map<string, Open[]>()

  /**
   * @param over whether the true error of a job begun now exceeds the share, by work class
   * @param found ready times found now, by work class; null: none is asked for
   */
  take(
    state: MachineState,
    now: number,
    over: (workClass: string) => boolean,
    found: ((workClass: string) => ReadyTime | undefined) | null,
  ): void {
    for (const shown of state.classes) {
      const key = `${state.machine} ${shown.workClass}`
      const isOver = over(shown.workClass)
      const open = this.open.get(key) ?? []
      for (const promise of open) {
        if (shown.verdict === 'fit' && promise.fitBy !== null && shown.since <= promise.fitBy) promise.kept = true
        if (promise.came !== null) continue
        promise.since = isOver ? null : (promise.since ?? now)
        if (promise.since !== null && now - promise.since >= stay) promise.came = promise.since
      }
      const isDone = (p: Open) =>
        now - p.at >= longest || (p.came !== null && now > Math.max(p.ready.latest, p.fitBy ?? 0))
      for (const promise of open.filter(isDone)) this.close(promise)
      const left = open.filter(promise => !isDone(promise))
      const ready = waits(shown) ? found?.(shown.workClass) : undefined
      if (ready) {
        const fitBy = shown.ready?.latest ?? null
        left.push({ at: now, fitBy, already: !isOver, ready, since: null, came: null, kept: false })
      }
      this.open.set(key, left)
    }
  }

  private close({ at, fitBy, already, ready, came, kept }: Open): void {
    const minutes = (moment: number) => Math.max(0, moment - at) / MINUTE
    if (ready.likely - at >= judged && (came === null || came - at >= judged)) return
    const { earliest, likely, latest } = ready
    this.record.push({
      named: fitBy !== null,
      earliest: minutes(earliest),
      likely: minutes(likely),
      latest: minutes(latest),
      came: came === null ? null : minutes(came),
      already,
      kept,
    })
  }
}
