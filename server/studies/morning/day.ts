import { DateTime } from 'luxon'
import type { JobPlan, PlannedJob } from '../../../core/morning/index.js'

/** ISO 8601 day on which a moment (ms) lies in a time zone. */
export const dayOf = (at: number, zone: string): string => DateTime.fromMillis(at, { zone }).toISODate()!

/** The day so many days after another one. @param day ISO 8601 */
export const dayAfter = (day: string, days: number): string =>
  DateTime.fromISO(day, { zone: 'UTC' }).plus({ days }).toISODate()!

/** Whether a text is a day that there is, as ISO 8601 writes it. */
export const isDay = (text: string): boolean => DateTime.fromISO(text, { zone: 'UTC' }).toISODate() === text

/**
 * A job of one day as the same job of another: at the same time of day by the shop's clocks, its part brought in as long
 * before.
 *
 * @param day  ISO 8601
 * @param zone IANA name
 */
export const onDay = ({ id: _, enteredAt: __, by: ___, ...job }: PlannedJob, day: string, zone: string): JobPlan => {
  const then = DateTime.fromMillis(job.start, { zone })
  const { year, month, day: date } = DateTime.fromISO(day, { zone })
  const start = then.set({ year, month, day: date }).toMillis()
  const { from } = job
  if (from.kind === 'shop')
    return { ...job, start, from: from.since === undefined ? from : { ...from, since: from.since + start - job.start } }
  return { ...job, start, from: { ...from, broughtIn: from.broughtIn + start - job.start } }
}
