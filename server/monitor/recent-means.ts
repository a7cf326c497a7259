import { meansSpacing } from '../../core/trust/index.js'
import { UsualGap } from './usual-gap.js'

/** four hours of five-minute means */
const length = 48
/** ms */
const spacing = meansSpacing * 1000
/** where sums and counts begin in `kept` */
const sums = length
const counts = 2 * length

/** the five-minute bucket a moment (ms) falls in */
export const bucketAt = (at: number): number => Math.floor(at / spacing)

/** The oldest bucket that is surely kept while `newest` is the last complete one. */
export const oldestKept = (newest: number): number => newest - length + 2

/**
 * The last four hours of one temperature as five-minute means: a bounded ring. What a slow sensor leaves out from reading
 * to reading is bridged by a straight line.
 */
export class RecentMeans {
  /** the newest bucket in which something was measured */
  private newest = Number.NaN
  private readonly gap = new UsualGap()
  /** buckets, sums and counts one behind the other: one array, as a shop may have thousands of these */
  private readonly kept = new Float64Array(3 * length).fill(Number.NaN, 0, length)

  /** @param interval s; in which readings are expected: shorter than that nothing is left out */
  constructor(private readonly interval = 0) {}

  /** @param at ms, not before the newest @param value °C */
  add(at: number, value: number): void {
    const { kept } = this
    const bucket = bucketAt(at)
    const slot = bucket % length
    if (bucket !== this.newest) {
      if (bucket > this.newest) this.bridge(bucket, value)
      this.newest = bucket
      this.put(bucket, 0, 0)
    }
    kept[slot + sums]! += value
    kept[slot + counts]! += 1
  }

  private put(bucket: number, sum: number, count: number): void {
    const slot = bucket % length
    this.kept[slot] = bucket
    this.kept[slot + sums] = sum
    this.kept[slot + counts] = count
  }

  private bridge(bucket: number, value: number): void {
    const empty = bucket - this.newest - 1
    if (!this.gap.take(empty) && !(empty > 0 && empty * meansSpacing <= this.interval)) return
    const before = this.mean(this.newest)
    for (let k = 1; k <= empty; k++) this.put(this.newest + k, before + (k / (empty + 1)) * (value - before), 1)
  }

  /** All values were too low by so many K: what it tells of changes stays. */
  shift(change: number): void {
    for (let i = 0; i < length; i++) this.kept[i + sums]! += this.kept[i + counts]! * change
  }

  /** °C; NaN where nothing was measured, or no longer kept */
  mean(bucket: number): number {
    const slot = bucket % length
    return this.kept[slot] === bucket ? this.kept[slot + sums]! / this.kept[slot + counts]! : Number.NaN
  }

  /** K; from one bucket to a later one */
  moved(from: number, to: number): number {
    return this.mean(to) - this.mean(from)
  }
}
