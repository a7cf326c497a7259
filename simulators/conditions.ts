/** s; what reached a machine is kept as means of so long, for so many of them */
const WIDTH = 60
const KEPT = 24 * 60

/** What reached a machine in the last day, minute by minute: for what would have become of it, had it worked otherwise. */
export class Conditions {
  private readonly air = new Float64Array(KEPT)
  private readonly chiller = new Float64Array(KEPT)
  private readonly length = new Float64Array(KEPT)
  private newest = Number.NEGATIVE_INFINITY

  /**
   * @param time ms; end of a step
   * @param h s; its length, at most a minute
   * @param air °C
   * @param chiller 1 on, 0 off
   */
  add(time: number, h: number, air: number, chiller: number): void {
    const minute = Math.ceil(time / 1000 / WIDTH) - 1
    const place = minute % KEPT
    if (minute !== this.newest) {
      this.newest = minute
      this.air[place] = 0
      this.chiller[place] = 0
      this.length[place] = 0
    }
    this.air[place]! += h * air
    this.chiller[place]! += h * chiller
    this.length[place]! += h
  }

  /**
   * Means over the minute in whose course a step begins.
   *
   * @param from ms
   * @param h s
   * @throws RangeError for what is yet to come, or was too long ago
   */
  over(from: number, h: number): { air: number; chiller: number } {
    const minute = Math.floor((from / 1000 + h / 2) / WIDTH)
    if (minute > this.newest || minute <= this.newest - KEPT)
      throw new RangeError(`what reached the machine at ${new Date(from).toISOString()} is not known`)
    const place = minute % KEPT
    const length = this.length[place]!
    return { air: this.air[place]! / length, chiller: this.chiller[place]! / length }
  }
}
