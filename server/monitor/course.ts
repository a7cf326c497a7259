import { courseSpacing } from '../../core/trust/index.js'

/** four hours of five-minute means */
const length = 48
const spacing = courseSpacing * 1000

/** the five-minute bucket a moment (ms) falls in */
export const bucketAt = (at: number): number => Math.floor(at / spacing)

/** The oldest bucket that is surely kept while `newest` is the last complete one. */
export const oldestKept = (newest: number): number => newest - length + 2

/** The last four hours of one temperature as five-minute means: a bounded ring. */
export class Course {
  private readonly bucket = new Float64Array(length).fill(Number.NaN)
  private readonly sum = new Float64Array(length)
  private readonly count = new Float64Array(length)

  /** @param at ms; moments older than what the ring holds are left out */
  add(at: number, value: number): void {
    const bucket = bucketAt(at)
    const place = bucket % length
    if (bucket < this.bucket[place]!) return
    if (bucket !== this.bucket[place]) {
      this.bucket[place] = bucket
      this.sum[place] = 0
      this.count[place] = 0
    }
    this.sum[place]! += value
    this.count[place]! += 1
  }

  /** All values were too low by so much: what it tells of changes stays. */
  shift(change: number): void {
    for (let i = 0; i < length; i++) this.sum[i]! += this.count[i]! * change
  }

  /** °C; NaN where nothing was measured, or no longer kept */
  mean(bucket: number): number {
    const place = bucket % length
    return this.bucket[place] === bucket ? this.sum[place]! / this.count[place]! : Number.NaN
  }

  /** K; from one bucket to a later one */
  moved(from: number, to: number): number {
    return this.mean(to) - this.mean(from)
  }
}
