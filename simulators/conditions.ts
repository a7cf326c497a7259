/** s; what reached a machine is kept as means of so long, for so many of them */
const WIDTH = 60
const KEPT = 24 * 60

/** What reaches a machine: °C of its air, 0..1 of its chiller's time, W of the sun. */
export interface Reaching {
  air: number
  chiller: number
  sun: number
}

/** What reached a machine in the last day, minute by minute: for what would have become of it, had it worked otherwise. */
export class Conditions {
  private readonly sums = new Map<number, Reaching & { length: number }>()
  private newest = Number.NEGATIVE_INFINITY

  /**
   * @param time ms; end of a step
   * @param h s; its length, at most a minute
   */
  add(time: number, h: number, { air, chiller, sun }: Reaching): void {
    const minute = Math.ceil(time / 1000 / WIDTH) - 1
    const place = minute % KEPT
    let sum = this.sums.get(place)
    if (minute !== this.newest || !sum) {
      this.newest = minute
      sum = { air: 0, chiller: 0, sun: 0, length: 0 }
      this.sums.set(place, sum)
    }
    sum.air += h * air
    sum.chiller += h * chiller
    sum.sun += h * sun
    sum.length += h
  }

  /**
   * Means over the minute in which the middle of a step lies.
   *
   * @param from ms
   * @param h s
   * @throws RangeError for what is yet to come, or was too long ago
   */
  over(from: number, h: number): Reaching {
    const minute = Math.floor((from / 1000 + h / 2) / WIDTH)
    const sum = minute > this.newest || minute <= this.newest - KEPT ? undefined : this.sums.get(minute % KEPT)
    if (!sum) throw new RangeError(`what reached the machine at ${new Date(from).toISOString()} is not known`)
    const { air, chiller, sun, length } = sum
    return { air: air / length, chiller: chiller / length, sun: sun / length }
  }
}
