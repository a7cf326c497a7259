import type { IANAZone } from 'luxon'
import { courseStep, slotsOfDay } from '../../core/settling/index.js'
import { zoneOf } from '../zone.js'

/** ms; of a slot */
const step = courseStep * 1000
const hour = 3_600_000
const day = 24 * hour
/** steps ahead for which slots are asked: forecasts and a long job after them */
const farthest = (96 * hour) / step

/** Which slot of the usual day a moment falls into, by the shop's clock: see `UsualDay`. */
export class UsualSlots {
  private readonly zone: IANAZone
  private course: { from: number; slots: Uint8Array } | null = null

  /** @param timeZone IANA name */
  constructor(timeZone: string) {
    this.zone = zoneOf(timeZone)
  }

  /** The slot of a moment. @param at ms */
  readonly at = (at: number): number => {
    const local = at + this.zone.offset(at) * 60_000
    const days = Math.floor(local / day)
    // 1 January 1970 was a Thursday
    const weekday = (((days + 3) % 7) + 7) % 7
    return Math.floor((local - days * day) / step) + (weekday >= 5 ? slotsOfDay : 0)
  }

  /** The slots of now (ms) and of every step from now on. */
  ahead(now: number): Uint8Array {
    const from = Math.floor(now / step)
    if (this.course?.from !== from)
      this.course = { from, slots: Uint8Array.from({ length: farthest + 1 }, (_, k) => this.at(now + k * step)) }
    return this.course.slots
  }
}
