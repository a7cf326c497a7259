import type { Readings, Summary } from './block.js'
import type { Blocks } from './blocks.js'
import { hour } from './keys.js'
import { joined, noReadings, within } from './readings-of.js'
import { addedUp, minuteWidth, quarterHourWidth, summarised } from './summaries.js'
import type { Tail } from './tail.js'

/** One sensor's readings wherever they lie: in blocks, or in the tail that waits. */
export interface Stored {
  /** of the hour that begins at `begin`, ms, in order of time */
  readings(sensor: number, begin: number): Readings
  /** true for a reading that lies in a block; what waits is not looked at */
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

export const storedReadings = (blocks: Blocks, tail: Tail): Stored => ({
  readings: (sensor, begin) =>
    joined(blocks.readings(sensor, begin) ?? noReadings, tail.of(sensor, begin, begin + hour)),
  isSealed: blocks.has,
  minutes: (sensor, begin) =>
    addedUp(blocks.minutes(sensor, begin), summarised(tail.of(sensor, begin, begin + hour), minuteWidth)),
  quarterHours(sensor, from, to) {
    // whole quarter hours, also the part of the last one that lies beyond
    const upTo = (time: number) => Math.ceil(time / quarterHourWidth) * quarterHourWidth
    const waiting = summarised(tail.of(sensor, upTo(from), upTo(to)), quarterHourWidth)
    return addedUp(blocks.quarterHours(sensor, from, to), waiting)
  },
  hours: (sensor, from, to) => addedUp(blocks.hours(sensor, from, to), summarised(tail.of(sensor, from, to), hour)),
  nextHour(time) {
    const [sealed, waiting] = [blocks.nextHour(time), tail.nextHour(time)]
    return sealed === undefined || waiting === undefined ? (sealed ?? waiting) : Math.min(sealed, waiting)
  },
  *ofHour(begin, sensors) {
    const sealed = new Map(blocks.ofHour(begin))
    for (const sensor of sensors) {
      const readings = joined(sealed.get(sensor) ?? noReadings, tail.of(sensor, begin, begin + hour))
      if (readings.at.length > 0) yield [sensor, within(readings, begin, begin + hour)]
    }
  },
})
