import { extraOf, isEnough, longestExtra, mayName, recordOf, withOneMore } from '../../core/judge/index.js'
import type { FitByOutcome, FitByRecord, Verdict } from '../../core/state.js'

/** ms; a time that differs by less from one that is awaited already is the same. Judgement, no source */
const another = 900_000
/** no more times than so many are awaited at once */
const most = 48

type Outcome = Pick<FitByOutcome, 'at' | 'named' | 'found' | 'fitBy' | 'shown' | 'came'>

/** What became of the times at which work was to be fit, the oldest first. */
export interface Past {
  /** s; how much later than found fit came; Infinity: not within the longest that is added to a time */
  late: readonly number[]
  /** of those that were or would have been named, whether fit was shown by then */
  kept: readonly boolean[]
}

const wasKept = ({ came, fitBy }: Outcome): boolean => came !== null && fitBy !== null && came <= fitBy
const lateBy = ({ came, found }: Outcome): number => (came === null ? Number.POSITIVE_INFINITY : (came - found) / 1000)

/** What is looked back on of outcomes on record, the oldest first. */
export const pastOf = (outcomes: readonly Outcome[]): Past =>
  outcomes.reduce<Past>(
    ({ late, kept }, each) => ({
      late: withOneMore(late, lateBy(each)),
      kept: each.fitBy === null ? kept : withOneMore(kept, wasKept(each)),
    }),
    { late: [], kept: [] },
  )

/**
 * The times at which one kind of work on one machine was to be fit, and what came: each that differs from those that are
 * awaited already is one more, whether it was named or only found.
 *
 * They are named so much later than found that nine of ten come true, as those found before did: here, or in the whole
 * shop while little is known of here.
 */
export class NamedTimes {
  private awaited: (Outcome & { isDecided: boolean })[] = []
  private outcomes: Outcome[] = []
  past: Past = { late: [], kept: [] }

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
    const late = [...(isEnough(this.past.late) ? this.past : this.shop.past).late, ...overdue]
    const { kept } = isEnough(this.past.kept) ? this.past : this.shop.past
    const extra = isEnough(late) ? extraOf(late) : 0
    const fitBy = extra === null ? null : found + 1000 * extra
    const shown = fitBy !== null && mayName(kept)
    if (this.awaited.length < most && this.awaited.every(each => Math.abs(each.found - found) >= another))
      this.awaited.push({ at: now, named: now, found, fitBy, shown, came: null, isDecided: fitBy === null })
    return shown ? fitBy : null
  }

  /** Decides what can be decided. Where nothing is known, nothing is counted. @param now ms */
  look(verdict: Verdict, now: number): void {
    if (this.awaited.length === 0) return
    if (verdict === 'unknown') this.awaited = []
    for (const each of this.awaited) {
      if (verdict === 'fit') each.came = now
      if (!each.isDecided && (each.came !== null || now > each.fitBy!)) {
        each.isDecided = true
        this.note({ kept: withOneMore(this.past.kept, wasKept(each)) }, { kept: wasKept(each) })
      }
      each.at = now
    }
    const isOver = (each: Outcome) => each.came !== null || now > each.found + 1000 * longestExtra
    for (const { isDecided: _, ...each } of this.awaited.filter(isOver)) {
      this.note({ late: withOneMore(this.past.late, lateBy(each)) }, { late: lateBy(each) })
      this.outcomes.push(each)
    }
    this.awaited = this.awaited.filter(each => !isOver(each))
  }

  private note(own: Partial<Past>, one: { late?: number; kept?: boolean }): void {
    this.past = { ...this.past, ...own }
    const { late, kept } = this.shop.past
    this.shop.past = {
      late: one.late === undefined ? late : withOneMore(late, one.late),
      kept: one.kept === undefined ? kept : withOneMore(kept, one.kept),
    }
  }

  /** What became of times, since it was last asked. */
  takeOutcomes(): Outcome[] {
    const { outcomes } = this
    this.outcomes = []
    return outcomes
  }
}
