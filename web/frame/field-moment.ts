import { DateTime } from 'luxon'
import { formatClock, type Zone, zoneName } from '../../core/format.js'
import { isoOf } from '../../core/written-time.js'

// Native fields for times follow the browser's clock, not the shop's: these are texts, read by the reader that tables
// and messages are read by, which takes either clock.

/** A moment as it is typed, by the shop's clock: "2026-01-14 09:30", "2026-01-14 9:30 am". @param moment ms */
export const fieldMoment = (moment: number, zone: Zone): string =>
  `${DateTime.fromMillis(moment, { zone: zoneName(zone) }).toFormat('yyyy-MM-dd')} ${formatClock(moment, zone)}`

/** @param hour of a day @returns as it is typed, by the shop's clock: "05:00", "5:00 am" */
export const fieldClock = (hour: number, zone: Zone): string =>
  formatClock(hour * 3_600_000, { timeZone: 'UTC', clock: typeof zone === 'string' ? '24 h' : zone.clock })

/** What was typed as a moment in the shop's zone, ms; null when it is none, or one that clocks skip. */
export const readMoment = (text: string, zone: Zone): number | null => {
  const written = isoOf(text.trim(), null) ?? text.trim()
  const [moment, asWritten] = [zoneName(zone), 'UTC'].map(of =>
    DateTime.fromISO(written.replace(' ', 'T'), { zone: of }),
  )
  // ISO 8601 lets a date or a time of day stand alone
  if (!/\d[T ]\d{1,2}:\d\d/i.test(written) || !moment!.isValid) return null
  const [at, inUtc] = [moment!.toMillis(), asWritten!.toMillis()]
  // the hour that clocks skip is moved on by an hour; what bears its own zone is the same moment in any
  return at === inUtc || moment!.hour === asWritten!.hour ? at : null
}
