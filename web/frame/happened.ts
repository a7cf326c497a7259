import { addressOf } from '../routes.js'

const hour = 3_600_000
/** ms; what the page of what happened takes in at once */
export const longestHappened = 14 * 24 * hour

/** A moment as addresses write it. @param at ms */
export const isoMoment = (at: number): string => new Date(at).toISOString().replace(/\.\d+Z$/, 'Z')

/** The page of what happened on a machine from one moment to another, ms. */
export const happenedAddress = (machine: string, from: number, to: number): string =>
  `${addressOf('happened', machine)}?from=${isoMoment(from)}&to=${isoMoment(to)}`

/** The same about a moment of a chart: an eighth of what it shows, an hour at least, half a day at most. ms */
export const happenedAbout = (machine: string, moment: number, range: { from: number; to: number }): string => {
  const half = Math.min(6 * hour, Math.max(hour / 2, (range.to - range.from) / 16))
  return happenedAddress(machine, Math.max(range.from, moment - half), Math.min(range.to, moment + half))
}

/** The same of a stretch that was shown, with what came just before and after it. ms */
export const happenedIn = (machine: string, from: number, to: number): string => {
  const around = hour / 2
  return happenedAddress(machine, Math.max(from, to - longestHappened + 2 * around) - around, to + around)
}
