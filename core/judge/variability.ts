/** ms; how far apart the values are that are compared, and how often one is taken. Judgement, no source */
const apart = 3_600_000
const every = 300_000
/** changes looked back on: at most those of a day; with fewer than `least` the prior stands. Judgement, no source */
const lookedBack = { most: 288, least: 24 }
/** 0..1; this part of the changes is no larger: half of all go upwards, so one in twenty goes up by more, as the decision rule asks */
const counted = 0.9
/** shares; how a value moves that lies beyond this tells nothing of how it moves near its share. Judgement, no source */
const farOff = 1.5
/** shares; the room that is asked for while too little has been seen, and the most that ever is. Judgement, no source */
const prior = 0.2
const most = 0.4
/** ms; an index that has been within its share for so long (a night) needs no more room, however restless it was. Judgement, no source */
const settled = 8 * 3_600_000

/**
 * How much an index moves within an hour where it is near its share, as measured in the last day. A machine that became fit
 * with less room than that would often lose it again within the hour: the deadband (IEC 62682) comes from how the index
 * itself comes and goes.
 */
export class Variability {
  private readonly lately: { at: number; value: number }[] = []
  private readonly changes: number[] = []
  private usual = prior
  private within: { since: number; until: number } | null = null

  /** share; room that the index must have so that what it usually does within an hour does not take it beyond */
  get room(): number {
    return this.within && this.within.until - this.within.since >= settled ? 0 : this.usual
  }

  /** share; room at a time that is promised, which lies further ahead than an hour: twice as much. Judgement, no source */
  get roomAhead(): number {
    return Math.min(most, 2 * this.room)
  }

  /**
   * @param at ms
   * @param value index ÷ share
   */
  take(at: number, value: number): void {
    const { lately, changes, within } = this
    const goesOn = within && at >= within.until && at - within.until < 2 * every
    this.within = value > 1 ? null : { since: goesOn ? within.since : at, until: at }
    const last = lately.at(-1)
    if (last && at >= last.at && at - last.at < every) return
    // a clock that was set back begins anew; after a gap what is older than an hour is compared with nothing
    if (last && at < last.at) lately.length = 0
    while (lately[0] && at - lately[0].at >= apart + every) lately.shift()
    const before = lately[0]
    lately.push({ at, value })
    if (!before || at - before.at < apart || Math.min(value, before.value) > farOff) return
    changes.push(Math.abs(value - before.value))
    if (changes.length > lookedBack.most) changes.shift()
    if (changes.length < lookedBack.least) return
    const sorted = Float64Array.from(changes).sort()
    this.usual = Math.min(most, sorted[Math.floor(counted * sorted.length)]!)
  }
}
