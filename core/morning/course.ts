import { highest, lowest } from '../statistics/index.js'

/** Means of a quantity over even intervals. */
export interface Course {
  /** ms; the middle of each interval, rising */
  at: readonly number[]
  /** null where nothing was believed */
  value: readonly (number | null)[]
}

const hour = 3_600_000

/** Highest less lowest, in the unit of the values; null where nothing is known. */
export const swingOf = (values: readonly (number | null)[]): number | null => {
  const known = values.filter(value => value !== null)
  return known.length > 0 ? highest(known) - lowest(known) : null
}

/**
 * The fastest change within an hour (of the nearest whole number of intervals).
 *
 * @returns rate in the unit of the values per hour, with its sign, and the end of that hour, ms; null where no two values
 *   lie so far apart
 */
export const fastestOf = ({ at, value }: Course): { rate: number; at: number } | null => {
  const steps = at.length > 1 ? Math.max(1, Math.round(hour / (at[1]! - at[0]!))) : 1
  let found: { rate: number; at: number } | null = null
  for (let i = steps; i < at.length; i++) {
    const [now, then] = [value[i], value[i - steps]]
    if (now === null || now === undefined || then === null || then === undefined) continue
    const rate = ((now - then) / (at[i]! - at[i - steps]!)) * hour
    if (!found || Math.abs(rate) > Math.abs(found.rate)) found = { rate, at: at[i]! }
  }
  return found
}

/** The part of a course that lies between two moments. */
export const between = ({ at, value }: Course, from: number, to: number) => {
  const inside = at.flatMap((moment, i) => (moment >= from && moment < to ? [i] : []))
  return { at: inside.map(i => at[i]!), value: inside.map(i => value[i] ?? null) }
}
