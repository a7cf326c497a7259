import { addRun, type ValueRun } from '../../core/trust/index.js'

/** K; two readings nearer than this are the same value */
const sameValue = 1e-4

/** How long one sensor has sent one and the same value, and what is known of its runs before. */
export class RepeatedValue {
  /** °C as measured; NaN before the first reading, or where a run is not to go on */
  value = Number.NaN
  /** ms; when it was first sent */
  since = 0
  private repeats = 0
  /** K; the smallest step that was ever shown; 0 when none is known */
  private resolution = 0
  /** K; by which its neighbours have moved, typically, since the value was first sent, and the most within runs before */
  private moved = 0
  private usuallyMoved = 0
  private readonly before: ValueRun['before'] = { readings: 0, repeats: 0, longest: 0 }

  /**
   * @param at ms
   * @param value °C as measured
   * @param isHabit the run that ended shows what the sensor does: not of one that was frozen
   * @param isMean it shows habits, but not in which steps the sensor works
   */
  take(at: number, value: number, isHabit: boolean, isMean: boolean): void {
    const step = Math.abs(value - this.value)
    if (step < sameValue) {
      this.repeats++
      return
    }
    if (step > 0 && !isMean && (this.resolution === 0 || step < this.resolution)) this.resolution = step
    if (isHabit) {
      this.usuallyMoved = Math.max(this.usuallyMoved, this.moved)
      if (!isMean) addRun(this.before, this.repeats)
    }
    this.begin(at, value)
  }

  begin(since: number, value: number): void {
    this.since = since
    this.value = value
    this.repeats = 0
    this.moved = 0
  }

  /** K; by which its neighbours have moved, typically, since its value was first sent */
  neighboursMoved(typical: number): void {
    this.moved = Math.max(this.moved, typical)
  }

  /** @param at ms; the newest reading @param stated K; its resolution, where it is stated */
  run(at: number, stated: number | undefined): ValueRun & { since: number; value: number; neighboursMoved: number } {
    const { since, value, repeats, usuallyMoved, before } = this
    const resolution = stated ?? this.resolution
    return { since, value, seconds: (at - since) / 1000, repeats, resolution, neighboursMoved: usuallyMoved, before }
  }
}
