/** half hours that a day is cut into */
export const slotsOfDay = 48
/** kinds of day that are kept apart: those of the week's work, and of its end */
const kindsOfDay = 2

/** what a new day counts at least in a slot's mean: some three days are remembered. Judgement, no source */
const leastWeight = 0.3
/** days on which nothing changed that what is known of a slot is weighed against. Judgement, no source */
const unchangedDays = 0.5

/**
 * The usual day of a temperature: mean by half hour and kind of day, the last days counting most. A setback of the
 * heating, a shift and its heat show in it, whatever causes them.
 *
 * Slots are numbered by the caller, who knows the shop's clock: half hour of the local day, plus 48 at a week's end.
 */
export class UsualDay {
  private readonly means = new Float64Array(kindsOfDay * slotsOfDay).fill(Number.NaN)
  private readonly days = new Uint16Array(kindsOfDay * slotsOfDay)

  /** Takes the mean of a half hour that is over, °C. */
  take(slot: number, mean: number): void {
    const before = this.means[slot]!
    const weight = Math.max(1 / (this.days[slot]! + 1), leastWeight)
    this.means[slot] = Number.isNaN(before) ? mean : before + weight * (mean - before)
    if (this.days[slot]! < 1000) this.days[slot]!++
  }

  /** °C in a slot; NaN where no such half hour has been seen */
  at(slot: number): number {
    return this.means[slot]!
  }

  /** days on which both of two slots were seen, as many as the one that was seen less often */
  daysSeen(a: number, b: number): number {
    return Math.min(this.days[a]!, this.days[b]!)
  }

  /** 0..1; how far what is known of two slots is believed: of days seen n, n/(n + 0.5) */
  believed(a: number, b: number): number {
    const seen = this.daysSeen(a, b)
    return seen / (seen + unchangedDays)
  }

  /** All temperatures were so many K higher than was taken. */
  shift(change: number): void {
    for (let i = 0; i < this.means.length; i++) this.means[i]! += change
  }
}
