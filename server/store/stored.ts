import type { Readings, Summary } from './block.js'
import type { Blocks } from './blocks.js'
import { beginOf, hour } from './keys.js'
import { joined, noReadings, within } from './readings-of.js'
import type { Rows } from './rows.js'
import { addedUp, minuteWidth, quarterHourWidth, rolledUp, summarised } from './summaries.js'
import type { Tail } from './tail.js'

/** One sensor's history wherever it lies: in blocks, in rows of an older database, or in the tail that waits. */
export interface Stored {
  /** of the hour that begins at `begin`, ms, in order of time */
  readings(sensor: number, begin: number): Readings
  /** true for a reading that lies in a block or a row; what waits is not looked at */
  isSealed(sensor: number, at: number): boolean
  /** of that hour */
  minutes(sensor: number, begin: number): readonly Summary[]
  /** that begin from `from` to before `to`, ms */
  quarterHours(sensor: number, from: number, to: number): readonly Summary[]
  /** of whole hours from `from` to `to`, ms */
  hours(sensor: number, from: number, to: number): readonly Summary[]
  /** ms; the first hour from `time` on that may have readings of any sensor */
  nextHour(time: number): number | undefined
  /** of all sensors in that hour, by sensor, each in order of time */
  ofHour(begin: number, sensors: Iterable<number>): Iterable<[sensor: number, readings: Readings]>
}

export const storedHistory = (blocks: Blocks, rows: Rows, tail: Tail): Stored => {
  const beside = (sensor: number, begin: number): Readings => {
    const waiting = tail.of(sensor, begin, begin + hour)
    return rows.left() ? joined(rows.readings(sensor, begin, begin + hour), waiting) : waiting
  }
  return {
    readings: (sensor, begin) => joined(blocks.readings(sensor, begin) ?? noReadings, beside(sensor, begin)),
    isSealed: (sensor, at) => blocks.has(sensor, at) || (rows.left() && rows.has(sensor, at)),
    minutes(sensor, begin) {
      const end = begin + hour
      const old = rows.left() ? rows.minutes(sensor, begin, end) : []
      return addedUp(addedUp(blocks.minutes(sensor, begin), old), summarised(tail.of(sensor, begin, end), minuteWidth))
    },
    quarterHours(sensor, from, to) {
      // whole quarter hours, also the part of the last one that lies beyond
      const upTo = (time: number) => Math.ceil(time / quarterHourWidth) * quarterHourWidth
      const old = rows.left() ? rows.quarterHours(sensor, from, to) : []
      const waiting = summarised(tail.of(sensor, upTo(from), upTo(to)), quarterHourWidth)
      return addedUp(addedUp(blocks.quarterHours(sensor, from, to), old), waiting)
    },
    hours(sensor, from, to) {
      const old = rows.left() ? rolledUp(rows.quarterHours(sensor, from, to), hour) : []
      return addedUp(addedUp(blocks.hours(sensor, from, to), old), summarised(tail.of(sensor, from, to), hour))
    },
    nextHour(time) {
      const row = rows.left() ? rows.next(time) : undefined
      const next = [blocks.nextHour(time), row === undefined ? row : beginOf(row, hour), tail.nextHour(time)]
      const known = next.filter(begin => begin !== undefined)
      return known.length > 0 ? Math.min(...known) : undefined
    },
    *ofHour(begin, sensors) {
      const sealed = new Map(blocks.ofHour(begin))
      for (const sensor of sensors) {
        const readings = joined(sealed.get(sensor) ?? noReadings, beside(sensor, begin))
        if (readings.at.length > 0) yield [sensor, within(readings, begin, begin + hour)]
      }
    },
  }
}
