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
  return {
    readings: (sensor, begin) =>
      all(sensor)
        .map(number => stored.readings(number, begin))
        .reduce(joined),
    isSealed: (sensor, at) => all(sensor).some(number => stored.isSealed(number, at)),
    minutes: (sensor, begin) =>
      all(sensor)
        .map(number => stored.minutes(number, begin))
        .reduce(addedUp),
    quarterHours: (sensor, from, to) =>
      all(sensor)
        .map(number => stored.quarterHours(number, from, to))
        .reduce(addedUp),
    hours: (sensor, from, to) =>
      all(sensor)
        .map(number => stored.hours(number, from, to))
        .reduce(addedUp),
    nextHour: stored.nextHour,
    *ofHour(begin, sensors) {
      const asked = [...sensors]
      const found = new Map(stored.ofHour(begin, asked.flatMap(all)))
      for (const sensor of asked) {
        const readings = all(sensor)
          .map(number => found.get(number) ?? noReadings)
          .reduce(joined)
        if (readings.at.length > 0) yield [sensor, readings]
      }
    },
  }
}
