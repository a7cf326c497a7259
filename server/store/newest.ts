import type { Database } from 'better-sqlite3'
import { withChecksum } from './checksum.js'
import type { Damage } from './damage.js'

const keyOf = (sensor: number): string => `newest ${sensor}`

/** The newest reading of each sensor by its own time, in memory: what is newer than that cannot be there already. */
export class Newest {
  /** at, value, delay of each sensor by its number; at is -1 when there is none */
  private readings = new Float64Array(0)
  /** what a group has changed: sensor, at, value, delay as they were */
  private changed: number[] = []

  at(sensor: number): number {
    return this.readings[3 * sensor] ?? -1
  }
  value(sensor: number): number {
    return this.readings[3 * sensor + 1]!
  }
  delay(sensor: number): number {
    return this.readings[3 * sensor + 2]!
  }

  begin(): void {
    this.changed.length = 0
  }

  /** takes a reading in if it is the newest; @returns whether it is */
  offer(sensor: number, at: number, value: number, delay: number): boolean {
    const offset = 3 * sensor
    if (offset >= this.readings.length) this.grow(sensor)
    if (at <= this.readings[offset]!) return false
    this.replace(sensor, [at, value, delay])
    return true
  }

  /** puts another in its place, also an older one, or one at -1 for none; of a sensor that has one */
  replace(sensor: number, reading: readonly [at: number, value: number, delay: number]): void {
    const offset = 3 * sensor
    this.changed.push(sensor, this.readings[offset]!, this.readings[offset + 1]!, this.readings[offset + 2]!)
    for (const [i, number] of reading.entries()) this.readings[offset + i] = number
  }

  /** as it was at `begin` */
  undo(): void {
    for (let index = this.changed.length - 4; index >= 0; index -= 4)
      this.readings.set(this.changed.slice(index + 1, index + 4), 3 * this.changed[index]!)
    this.changed.length = 0
  }

  /** for the table newest_readings */
  bytes(sensor: number): Buffer {
    const bytes = Buffer.alloc(25)
    bytes[0] = 1
    for (let index = 0; index < 3; index += 1) bytes.writeDoubleLE(this.readings[3 * sensor + index]!, 1 + 8 * index)
    return withChecksum(bytes, keyOf(sensor))
  }
  /** @returns false when the bytes are damaged; then nothing is taken in */
  offerBytes(sensor: number, stored: Buffer, damage: Pick<Damage, 'intact'>): boolean {
    // a former version wrote the three numbers alone
    const bytes = stored.length === 24 ? stored : damage.intact(stored, keyOf(sensor), found => found.subarray(1))
    if (bytes?.length !== 24) return false
    this.offer(sensor, bytes.readDoubleLE(0), bytes.readDoubleLE(8), bytes.readDoubleLE(16))
    return true
  }

  private grow(sensor: number): void {
    const larger = new Float64Array(3 * Math.max(2 * sensor, 64)).fill(-1)
    larger.set(this.readings)
    this.readings = larger
  }
}

/** The notes of each sensor's newest reading among those that are sealed. */
export const newestTable = (db: Database) => {
  const put = db.prepare<[number, Buffer]>('INSERT OR REPLACE INTO newest_readings VALUES (?, ?)')
  const remove = db.prepare<[number]>('DELETE FROM newest_readings WHERE sensor = ?')
  const all = db.prepare<[], { sensor: number; reading: Buffer }>('SELECT sensor, reading FROM newest_readings')
  return {
    put: (sensor: number, bytes: Buffer) => put.run(sensor, bytes),
    remove: (sensor: number) => remove.run(sensor),
    all: () => all.all(),
  }
}
