import { DateTime } from 'luxon'
import { type Zone, zoneName } from '../../core/format.js'
import { clockOf } from '../../core/written-time.js'

/** An intended change of the air at a machine. */
export interface Change {
  /** ms */
  at: number
  /** °C */
  temperature: number
}

/** The plan in the page's address: "1764651600000,20.5;1764687600000,19". What cannot be read is left out. */
export const readPlan = (text: string | null): Change[] =>
  (text ?? '').split(';').flatMap(part => {
    const [at, temperature] = part.split(',').map(Number)
    return part !== '' && Number.isFinite(at) && Number.isFinite(temperature)
      ? [{ at: at!, temperature: temperature! }]
      : []
  })

export const writePlan = (plan: readonly Change[]): string =>
  [...plan]
    .sort((a, b) => a.at - b.at)
    .map(({ at, temperature }) => `${at},${temperature}`)
    .join(';')

/**
 * The next moment at which a clock in the shop shows a time.
 *
 * @param clock "05:00" or "5:00 am"
 * @returns ms; null when it is no time of day
 */
export const nextMoment = (clock: string, now: number, zone: Zone): number | null => {
  const [hour, minute] = clockOf(clock)?.split(':').map(Number) ?? []
  if (hour === undefined) return null
  const today = DateTime.fromMillis(now, { zone: zoneName(zone) }).set({
    hour,
    minute: minute!,
    second: 0,
    millisecond: 0,
  })
  return (today.toMillis() > now ? today : today.plus({ days: 1 })).toMillis()
}
