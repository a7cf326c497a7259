import { ordinaryChange } from '../../core/settling/index.js'
import { theilSenSlope } from '../../core/statistics/index.js'
import { UsualGap } from './usual-gap.js'

/**
 * Evenly spaced means of one temperature, the newest last; bounded. Of a sensor that is slower than the spacing the
 * intervals between its readings are bridged by straight lines; what it does not usually leave out stays unknown.
 */
export class EvenMeans {
  private readonly values: number[] = []
  private bucket = Number.NaN
  private sum = 0
  private count = 0
  private readonly gap = new UsualGap()
  /** empty intervals before the present one that are to be bridged once its mean is known */
  private toBridge = 0
  /** K, by lag, and K/h, by minutes: computed from the closed buckets, and good until the next one closes */
  private readonly changes = new Map<number, number>()
  private readonly rates = new Map<number, number>()

  /**
   * @param spacing ms
   * @param length how many means are kept
   */
  constructor(
    private readonly spacing: number,
    private readonly length: number,
  ) {}

  /** @param at ms; moments before the newest bucket are left out @param value °C */
  add(at: number, value: number): void {
    const bucket = Math.floor(at / this.spacing)
    if (bucket > this.bucket || Number.isNaN(this.bucket)) {
      this.close(bucket)
      this.bucket = bucket
    } else if (bucket < this.bucket) return
    this.sum += value
    this.count++
  }

  /** All values were too low by so many K; rates and changes stay. */
  shift(change: number): void {
    for (let i = 0; i < this.values.length; i++) this.values[i]! += change
    this.sum += this.count * change
  }

  /** @returns the newest mean that ended before a moment (ms); NaN when it is not known, or too long ago */
  before(moment: number): number {
    return this.values[this.values.length - (this.bucket - Math.floor(moment / this.spacing)) - 1] ?? Number.NaN
  }

  /** Slope over the last `minutes`, K/h; NaN while there is too little. A few bad values do not move it. */
  rate(minutes: number): number {
    const cached = this.rates.get(minutes)
    if (cached !== undefined) return cached
    const rate = this.slope(minutes)
    this.rates.set(minutes, rate)
    return rate
  }

  private slope(minutes: number): number {
    const wanted = Math.ceil((minutes * 60_000) / this.spacing)
    const first = Math.max(0, this.values.length - wanted)
    if (this.values.length - first < 4) return Number.NaN
    const hours: number[] = []
    const known: number[] = []
    for (let i = first; i < this.values.length; i++) {
      const value = this.values[i]!
      if (Number.isNaN(value)) continue
      hours.push(((i - first) * this.spacing) / 3_600_000)
      known.push(value)
    }
    return theilSenSlope(hours, known)
  }

  /** @returns standard deviation of the ordinary change within `seconds`, K; NaN while there is too little */
  ordinaryChange(seconds: number): number {
    const lag = Math.max(1, Math.round((seconds * 1000) / this.spacing))
    const cached = this.changes.get(lag)
    if (cached !== undefined) return cached
    const change = ordinaryChange(this.values, lag)
    this.changes.set(lag, change)
    return change
  }

  private close(next: number): void {
    if (this.count === 0) return
    const mean = this.sum / this.count
    const known = this.values[this.values.length - this.toBridge - 1]
    if (known !== undefined)
      for (let k = 1; k <= this.toBridge; k++)
        this.values[this.values.length - k] = mean + (k / (this.toBridge + 1)) * (known - mean)
    this.values.push(mean)
    this.sum = 0
    this.count = 0
    const missed = Math.min(next - this.bucket - 1, this.length)
    this.toBridge = this.gap.take(missed) ? missed : 0
    for (let i = 0; i < missed; i++) this.values.push(Number.NaN)
    if (this.values.length > this.length) this.values.splice(0, this.values.length - this.length)
    this.changes.clear()
    this.rates.clear()
  }
}
