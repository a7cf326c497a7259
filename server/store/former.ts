import type { Readings, Summary } from './block.js'
import { joined, noReadings } from './readings-of.js'
import type { Stored } from './stored.js'
import { addedUp } from './summaries.js'

/**
 * History in which a sensor has also what lies under the numbers it had before. Nothing is moved for it: once the shop
 * file names the former ids no longer, each has its own again.
 *
 * @param former the former numbers of a sensor, by the one it has now
 */
export const withFormer = (stored: Stored, former: ReadonlyMap<number, readonly number[]>): Stored => {
  if (former.size === 0) return stored
  const all = (sensor: number): readonly number[] => [sensor, ...(former.get(sensor) ?? [])]
  const readingsOf = (sensor: number, of: (number: number) => Readings) => all(sensor).map(of).reduce(joined)
  const summariesOf = (sensor: number, of: (number: number) => readonly Summary[]) =>
    all(sensor).map(of).reduce(addedUp)
  return {
    readings: (sensor, begin) => readingsOf(sensor, number => stored.readings(number, begin)),
    isSealed: (sensor, at) => all(sensor).some(number => stored.isSealed(number, at)),
    minutes: (sensor, begin) => summariesOf(sensor, number => stored.minutes(number, begin)),
    quarterHours: (sensor, from, to) => summariesOf(sensor, number => stored.quarterHours(number, from, to)),
    hours: (sensor, from, to) => summariesOf(sensor, number => stored.hours(number, from, to)),
    nextHour: stored.nextHour,
    *ofHour(begin, sensors) {
      const asked = [...sensors]
      const found = new Map(stored.ofHour(begin, asked.flatMap(all)))
      for (const sensor of asked) {
        const readings = readingsOf(sensor, number => found.get(number) ?? noReadings)
        if (readings.at.length > 0) yield [sensor, readings]
      }
    },
  }
}
