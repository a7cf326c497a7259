import type { Readings } from './block.js'
import { hour } from './keys.js'

const empty = 1024

/** a larger copy of an array, or the array itself when it is large enough */
const grown = <T extends Float64Array | Int32Array>(array: T, length: number): T => {
  if (length <= array.length) return array
  const larger = new (array.constructor as new (length: number) => T)(Math.max(length, 2 * array.length))
  larger.set(array)
  return larger
}

/** Some readings of one sensor that lie in one hour. */
export interface HourSlots {
  /** ms; the hour's beginning */
  begin: number
  /** where they lie, the last one that arrived first */
  slots: readonly number[]
}

/**
 * Readings that are in the journal and in no block yet, in order of arrival. They lie in a few long arrays, each with
 * the slot of the one before it of the same sensor: adding one costs the same however many sensors there are.
 */
export class Unsealed {
  private ats = new Float64Array(empty)
  private value = new Float64Array(empty)
  private delay = new Float64Array(empty)
  /** of the one before of the same sensor, plus one; 0 when there is none. `last`: by sensor, of its newest arrival */
  private before = new Int32Array(empty)
  private sensor = new Int32Array(empty)
  private last = new Int32Array(empty)
  private begun = new Set<number>()
  private hour = -1
  /** the times of sensors that were asked for one */
  private times = new Map<number, Set<number>>()
  size = 0
  /** how many sensors have any */
  sensors = 0
  /** ms; when the first one arrived */
  firstArrival = Number.POSITIVE_INFINITY

  /** @param sensor its number   @param at ms   @param delay ms */
  add(sensor: number, at: number, value: number, delay: number): void {
    const slot = this.size
    if (slot === this.ats.length) this.grow()
    if (sensor >= this.last.length) this.last = grown(this.last, sensor + 1)
    this.ats[slot] = at
    this.value[slot] = value
    this.delay[slot] = delay
    this.sensor[slot] = sensor
    const before = this.last[sensor]!
    if (before === 0) this.sensors += 1
    if (slot === 0) this.firstArrival = at + delay
    this.before[slot] = before
    this.last[sensor] = slot + 1
    this.size = slot + 1
    const began = Math.floor(at / hour)
    if (began !== this.hour) {
      this.begun.add(began)
      this.hour = began
    }
    if (this.times.size > 0) this.times.get(sensor)?.add(at)
  }

  /** Takes the last ones away again, down to `size`. */
  truncate(size: number): void {
    for (let slot = this.size - 1; slot >= size; slot -= 1) {
      const before = this.before[slot]!
      if (before === 0) this.sensors -= 1
      this.last[this.sensor[slot]!] = before
    }
    this.size = size
    this.times.clear()
  }

  has(sensor: number, at: number): boolean {
    let times = this.times.get(sensor)
    if (!times) {
      times = new Set()
      for (let slot = this.newest(sensor); slot > 0; slot = this.before[slot - 1]!) times.add(this.ats[slot - 1]!)
      this.times.set(sensor, times)
    }
    return times.has(at)
  }

  /** ms; the beginnings of hours that may have readings, in no order */
  *hours(): Iterable<number> {
    for (const began of this.begun) yield began * hour
  }

  /** of one sensor with from <= at < to, in order of time */
  of(sensor: number, from: number, to: number): Readings {
    const slots: number[] = []
    for (let slot = this.newest(sensor); slot > 0; slot = this.before[slot - 1]!) {
      const at = this.ats[slot - 1]!
      if (at >= from && at < to) slots.push(slot - 1)
    }
    return this.at(slots)
  }

  /** All of one sensor, told apart by hour, in order of the hours: cheap also where a hundred thousand wait in disorder. */
  hoursOf(sensor: number): HourSlots[] {
    const byHour = new Map<number, number[]>()
    let latest = -1
    let slots: number[] = []
    for (let slot = this.newest(sensor); slot > 0; slot = this.before[slot - 1]!) {
      const began = Math.floor(this.ats[slot - 1]! / hour)
      if (began !== latest) {
        slots = byHour.get(began) ?? []
        byHour.set(began, slots)
        latest = began
      }
      slots.push(slot - 1)
    }
    const hours = Array.from(byHour, ([began, own]) => ({ begin: began * hour, slots: own }))
    return hours.sort((a, b) => a.begin - b.begin)
  }

  /** @param slots the last one that arrived first   @returns in order of time */
  at(slots: readonly number[]): Readings {
    let order = slots
    let ordered = true
    for (let index = 1; index < slots.length && ordered; index += 1)
      ordered = this.ats[slots[index]!]! < this.ats[slots[index - 1]!]!
    if (!ordered) order = slots.toSorted((a, b) => this.ats[b]! - this.ats[a]!)
    const pick = (column: Float64Array) => {
      const picked = new Float64Array(order.length)
      for (let index = 0; index < picked.length; index += 1) picked[index] = column[order[picked.length - 1 - index]!]!
      return picked
    }
    return { at: pick(this.ats), value: pick(this.value), delay: pick(this.delay) }
  }

  /** the lowest number of a sensor, `from` or above, that has readings */
  nextSensor(from: number): number | undefined {
    for (let sensor = from; sensor < this.last.length; sensor += 1) if (this.last[sensor]! > 0) return sensor
    return undefined
  }

  private newest(sensor: number): number {
    return this.last[sensor] ?? 0
  }

  private grow(): void {
    const length = 2 * this.ats.length
    this.ats = grown(this.ats, length)
    this.value = grown(this.value, length)
    this.delay = grown(this.delay, length)
    this.before = grown(this.before, length)
    this.sensor = grown(this.sensor, length)
  }
}
