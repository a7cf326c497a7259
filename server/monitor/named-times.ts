import { extraOf, isEnough, longestExtra, lookedBack, mayName, recordOf, withOneMore } from '../../core/judge/index.js'
import type { FitByOutcome, FitByRecord, Verdict } from '../../core/state.js'

/** ms; a time that differs by less from one that is awaited already is the same. Judgement, no source */
const another = 900_000
/** no more times than so many are awaited at once */
const most = 48

type Outcome = Pick<FitByOutcome, 'at' | 'named' | 'found' | 'fitBy' | 'shown' | 'came'>

/** ms; waits of one morning are alike: before they have been followed round the clock, none says what the next hours do */
const day = 86_400_000

/** What became of the times at which work was to be fit, the oldest first. */
export interface Past {
  /** ms; when the first time was found; null: none was */
  since: number | null
  /**
   * s; how much later than found fit came, of each spell of waiting: of the times found within it, that which was too
   * early by most. What is found every quarter of an hour of one wait is no further evidence. Infinity: fit did not come
   * within the longest that is added to a time
   */
  late: readonly number[]
  /** of those that were or would have been named, whether fit was shown by then */
  kept: readonly boolean[]
}

const wasKept = ({ came, fitBy }: Outcome): boolean => came !== null && fitBy !== null && came <= fitBy
const lateBy = ({ came, found }: Outcome): number => (came === null ? Number.POSITIVE_INFINITY : (came - found) / 1000)
const isOneWait = (a: FitByOutcome, b: FitByOutcome): boolean =>
  a.came === b.came && (a.came !== null || Math.abs(a.found - b.found) <= 1000 * longestExtra)

/** What is looked back on of outcomes on record, the oldest first. */
export const pastOf = (outcomes: readonly FitByOutcome[]): Past => {
  const late: number[] = []
  const last = new Map<string, { of: FitByOutcome; wait: number }>()
  for (const each of outcomes) {
    const key = `${each.machine} ${each.workClass}`
    const before = last.get(key)
    const wait = before && isOneWait(before.of, each) ? before.wait : late.push(Number.NEGATIVE_INFINITY) - 1
    late[wait] = Math.max(late[wait]!, lateBy(each))
    last.set(key, { of: each, wait })
  }
  const kept = outcomes.flatMap(each => (each.fitBy === null ? [] : [wasKept(each)]))
  return { since: outcomes[0]?.named ?? null, late: late.slice(-lookedBack.most), kept: kept.slice(-lookedBack.most) }
}

/**
 * The times at which one kind of work on one machine was to be fit, and what came: each that differs from those that are
 * awaited already is one more, whether it was named or only found.
 *
 * They are named so much later than found that nine of ten come true, as those found before did: here, or in the whole
 * shop while little is known of here. While little is known of the shop, and in its first day, none is named.
 */
export class NamedTimes {
  private awaited: (Outcome & { isDecided: boolean })[] = []
  private outcomes: Outcome[] = []
  /** in this wait fit did not come within the longest that is added to a time, which counts once */
  private isMissed = false
  past: Past = { since: null, late: [], kept: [] }

  /** @param shop what became of all times in the shop; goes on with those decided here */
  constructor(private readonly shop: { past: Past }) {}

  get record(): FitByRecord {
    return recordOf(this.past.kept)
  }

  /** What became of the times as they were found, before anything was added. */
  get asFound(): FitByRecord {
    const { late } = isEnough(this.past.late) ? this.past : this.shop.past
    return recordOf(late.map(each => each <= 0))
  }

  /** Whether waits have been followed for less than a day. @param now ms */
  isFirstDay(now: number): boolean {
    return now - Math.min(this.past.since ?? now, this.shop.past.since ?? now) < day
  }

  /**
   * A time was found.
   *
   * @param found ms
   * @param now ms
   * @returns ms; what is to be named instead; null where the past lets none be named
   */
  name(found: number, now: number): number | null {
    // what is overdue is late by so much at least: to leave it out would count those alone that came soon
    const overdue = this.awaited.filter(each => now > each.found).map(each => (now - each.found) / 1000)
    const late = [
      ...(isEnough(this.past.late) ? this.past : this.shop.past).late,
      ...(overdue.length > 0 ? [Math.max(...overdue)] : []),
    ]
    const { kept } = isEnough(this.past.kept) ? this.past : this.shop.past
    const extra = isEnough(late) && !this.isFirstDay(now) ? extraOf(late) : null
    const fitBy = extra === null ? null : found + 1000 * extra
    const shown = fitBy !== null && mayName(kept)
    this.shop.past = { ...this.shop.past, since: this.shop.past.since ?? now }
    if (this.awaited.length < most && this.awaited.every(each => Math.abs(each.found - found) >= another))
      this.awaited.push({ at: now, named: now, found, fitBy, shown, came: null, isDecided: fitBy === null })
    return shown ? fitBy : null
  }

  /** Decides what can be decided. Where nothing is known, nothing is counted. @param now ms */
  look(verdict: Verdict, now: number): void {
    if (verdict === 'unknown') this.awaited = []
    for (const each of this.awaited) {
      if (verdict === 'fit') each.came = now
      if (!each.isDecided && (each.came !== null || now > each.fitBy!)) {
        each.isDecided = true
        this.note({ kept: wasKept(each) })
      }
      each.at = now
    }
    const isOver = (each: Outcome) => each.came !== null || now > each.found + 1000 * longestExtra
    const over = this.awaited.filter(isOver)
    this.awaited = this.awaited.filter(each => !isOver(each))
    this.outcomes.push(...over.map(({ isDecided: _, ...each }) => each))
    if (over.length > 0 && !this.isMissed) {
      const late = Math.max(...over.map(lateBy))
      this.isMissed = late === Number.POSITIVE_INFINITY
      this.note({ late })
    }
    if (verdict === 'fit') this.isMissed = false
  }

  private note(one: { late?: number; kept?: boolean }): void {
    const after = (past: Past): Past => ({
      ...past,
      ...(one.late !== undefined && { late: withOneMore(past.late, one.late) }),
      ...(one.kept !== undefined && { kept: withOneMore(past.kept, one.kept) }),
    })
    this.past = after(this.past)
    this.shop.past = after(this.shop.past)
  }

  /** What became of times, since it was last asked. */
  takeOutcomes(): Outcome[] {
    const { outcomes } = this
    this.outcomes = []
    return outcomes
  }
}
