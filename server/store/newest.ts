/** The newest reading of each sensor by its own time, in memory: what is newer than that cannot be there already. */
export class Newest {
  /** at, value, delay of each sensor by its number; at is -1 when there is none */
  #readings = new Float64Array(0)
  /** what a group has changed: sensor, at, value, delay as they were */
  #changed: number[] = []

  at(sensor: number): number {
    return this.#readings[3 * sensor] ?? -1
  }
  value(sensor: number): number {
    return this.#readings[3 * sensor + 1]!
  }
  delay(sensor: number): number {
    return this.#readings[3 * sensor + 2]!
  }

  begin(): void {
    this.#changed.length = 0
  }

  /** takes a reading in if it is the newest */
  offer(sensor: number, at: number, value: number, delay: number): void {
    const place = 3 * sensor
    if (place >= this.#readings.length) this.#grow(sensor)
    if (at <= this.#readings[place]!) return
    this.#changed.push(sensor, this.#readings[place]!, this.#readings[place + 1]!, this.#readings[place + 2]!)
    this.#readings[place] = at
    this.#readings[place + 1] = value
    this.#readings[place + 2] = delay
  }

  /** as it was at `begin` */
  undo(): void {
    for (let index = this.#changed.length - 4; index >= 0; index -= 4)
      this.#readings.set(this.#changed.slice(index + 1, index + 4), 3 * this.#changed[index]!)
    this.#changed.length = 0
  }

  /** for the table newest_readings */
  bytes(sensor: number): Buffer {
    const bytes = Buffer.alloc(24)
    for (let index = 0; index < 3; index += 1) bytes.writeDoubleLE(this.#readings[3 * sensor + index]!, 8 * index)
    return bytes
  }
  offerBytes(sensor: number, bytes: Buffer): void {
    this.offer(sensor, bytes.readDoubleLE(0), bytes.readDoubleLE(8), bytes.readDoubleLE(16))
  }

  #grow(sensor: number): void {
    const larger = new Float64Array(3 * Math.max(2 * sensor, 64)).fill(-1)
    larger.set(this.#readings)
    this.#readings = larger
  }
}
