import type { ClassState, MachineState } from '../../core/state.js'

const MINUTE = 60_000
/** ms; ready times are judged where the wait, shown or true, is shorter; who is not ready by a day counts as a day */
const judged = 8 * 60 * MINUTE
const longest = 24 * 60 * MINUTE
/** ms; the true error must have stayed within the share so long */
const stay = 10 * MINUTE

/** A ready time that was named, and what came; minutes from that moment. */
export interface NamedTime {
  earliest: number
  likely: number
  latest: number
  /** from when the true error of a job begun then stayed within the share for ten minutes; null: not within a day */
  came: number | null
  /** the true error was within the share already */
  already: boolean
  /** whether fit was shown at or before "fit by" */
  kept: boolean
}

interface Open {
  at: number
  already: boolean
  ready: { earliest: number; likely: number; latest: number }
  /** since when the true error has been within the share, ms */
  since: number | null
  came: number | null
  kept: boolean
}

/** Compares ready times that were named with what then came, whatever became of the conditions. */
export class NamedTimes {
  readonly record: NamedTime[] = []
  private readonly open = new Map<string, Open[]>()

  /**
   * @param over whether the true error of a job begun now exceeds the share, by work class
   * @param withNew ready times named now are noted
   */
  take(state: MachineState, now: number, over: (workClass: string) => boolean, withNew: boolean): void {
    for (const shown of state.classes) {
      const key = `${state.machine} ${shown.workClass}`
      const isOver = over(shown.workClass)
      const open = this.open.get(key) ?? []
      for (const promise of open) {
        if (shown.verdict === 'fit' && shown.since <= promise.ready.latest) promise.kept = true
        if (promise.came !== null) continue
        promise.since = isOver ? null : (promise.since ?? now)
        if (promise.since !== null && now - promise.since >= stay) promise.came = promise.since
      }
      const isDone = (p: Open) => now - p.at >= longest || (p.came !== null && now > p.ready.latest)
      for (const promise of open.filter(isDone)) this.close(promise)
      const left = open.filter(promise => !isDone(promise))
      if (withNew && isNamed(shown))
        left.push({ at: now, already: !isOver, ready: shown.ready!, since: null, came: null, kept: false })
      this.open.set(key, left)
    }
  }

  private close({ at, already, ready, came, kept }: Open): void {
    const minutes = (moment: number) => Math.max(0, moment - at) / MINUTE
    if (ready.likely - at >= judged && (came === null || came - at >= judged)) return
    const { earliest, likely, latest } = ready
    this.record.push({
      earliest: minutes(earliest),
      likely: minutes(likely),
      latest: minutes(latest),
      came: came === null ? null : minutes(came),
      already,
      kept,
    })
  }
}

const isNamed = ({ verdict, ready, reasons }: ClassState): boolean =>
  verdict === 'settling' && ready !== null && reasons[0]?.kind !== 'waiting'
