// How durations and times are written: the shop's own, by the clock it prefers.

/** stands for a value that is not known */
export const notKnown = '—'

/** Whether a quantity, in any unit, is a number: null, NaN and infinity stand for one that is not known. */
export const known = (value: number | null | undefined): value is number =>
  typeof value === 'number' && Number.isFinite(value)

const pair = (large: number, largeUnit: string, small: number, smallUnit: string) =>
  small === 0 ? `${large} ${largeUnit}` : `${large} ${largeUnit} ${small} ${smallUnit}`

/**
 * A duration to the precision it is talked about: "45 s", "12 min", "3 h 20 min", "2 d 4 h".
 *
 * @param duration s
 */
export const formatDuration = (duration: number | null): string => {
  if (!known(duration)) return notKnown
  const sign = duration <= -0.5 ? '−' : ''
  const seconds = Math.round(Math.abs(duration))
  const minutes = Math.round(seconds / 60)
  const hours = Math.round(seconds / 3600)
  if (seconds < 60) return `${sign}${seconds} s`
  if (minutes < 60) return `${sign}${minutes} min`
  if (minutes < 24 * 60) return sign + pair(Math.floor(minutes / 60), 'h', minutes % 60, 'min')
  return sign + pair(Math.floor(hours / 24), 'd', hours % 24, 'h')
}

/** A time to wait out of the cut, rounded up to the tenth of a minute: "28.0 min". @param dwell s */
export const formatDwell = (dwell: number | null): string =>
  known(dwell) ? `${(Math.ceil(dwell / 6 - 1e-3) / 10).toFixed(1)} min` : notKnown

/** Where times are read, and by which clock; an IANA name alone: by a 24-hour clock. */
export type Zone = string | { timeZone: string; clock?: '24 h' | '12 h' | undefined }

/** @returns the IANA name */
export const zoneName = (zone: Zone): string => (typeof zone === 'string' ? zone : zone.timeZone)

// making an Intl formatter costs a hundred times as much as using one
const formatters = new Map<string, Intl.DateTimeFormat>()
const partsIn = (moment: number, zone: Zone) => {
  const timeZone = zoneName(zone)
  let formatter = formatters.get(timeZone)
  if (!formatter) {
    formatter = new Intl.DateTimeFormat('en-GB', {
      timeZone,
      hourCycle: 'h23',
      weekday: 'short',
      year: 'numeric',
      month: 'short',
      day: 'numeric',
      hour: '2-digit',
      minute: '2-digit',
    })
    formatters.set(timeZone, formatter)
  }
  const of: Partial<Record<Intl.DateTimeFormatPartTypes, string>> = {}
  for (const { type, value } of formatter.formatToParts(moment)) of[type] = value
  const isTwelve = typeof zone !== 'string' && zone.clock === '12 h'
  const hour = Number(of.hour)
  const clock = isTwelve ? `${hour % 12 || 12}:${of.minute} ${hour < 12 ? 'am' : 'pm'}` : `${of.hour}:${of.minute}`
  return { ...of, clock, month: of.month?.slice(0, 3) } // "Sept" in British English
}

/** @param moment ms since 1970 @returns "06:42", or "6:42 am" */
export const formatClock = (moment: number | null, zone: Zone): string =>
  known(moment) ? partsIn(moment, zone).clock : notKnown

/** @param moment ms since 1970 @returns "Mon 3 Nov 2025 06:42" */
export const formatDateTime = (moment: number | null, zone: Zone): string => {
  if (!known(moment)) return notKnown
  const { weekday, day, month, year, clock } = partsIn(moment, zone)
  return `${weekday} ${day} ${month} ${year} ${clock}`
}

/**
 * From one moment to another; the second as a time only when it is of the same day.
 *
 * @param from ms since 1970 @param to ms since 1970
 * @returns "Mon 3 Nov 2025 06:42 – 08:42", "Mon 3 Nov 2025 22:00 – Tue 4 Nov 2025 06:00"
 */
export const formatStretch = (from: number, to: number, zone: Zone): string => {
  const sameDay = dayNumber(from, zone) === dayNumber(to, zone)
  return `${formatDateTime(from, zone)} – ${sameDay ? formatClock(to, zone) : formatDateTime(to, zone)}`
}

const months = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec']
/** @param moment ms since 1970 @returns calendar day in the zone, counted from 1970 */
export const dayNumber = (moment: number, zone: Zone): number => {
  const { day, month, year } = partsIn(moment, zone)
  return Date.UTC(Number(year), months.indexOf(month ?? ''), Number(day)) / 86_400_000
}

/**
 * A moment as short as it can be without being mistaken: "06:42" today, "Mon 06:42" within six days before or after,
 * "3 Nov 06:42" in the same year, "3 Nov 2024 06:42" beyond.
 *
 * @param moment ms since 1970
 * @param now    ms since 1970
 */
export const formatMoment = (moment: number | null, now: number, zone: Zone): string => {
  if (!known(moment)) return notKnown
  const { weekday, day, month, year, clock } = partsIn(moment, zone)
  const days = Math.abs(dayNumber(moment, zone) - dayNumber(now, zone))
  if (days === 0) return clock
  if (days <= 6) return `${weekday} ${clock}`
  if (year === partsIn(now, zone).year) return `${day} ${month} ${clock}`
  return `${day} ${month} ${year} ${clock}`
}

/** As `formatMoment`, with the word: "since 06:42", "since Mon 06:42". @param moment ms since 1970 @param now ms since 1970 */
export const formatSince = (moment: number | null, now: number, zone: Zone): string =>
  known(moment) ? `since ${formatMoment(moment, now, zone)}` : notKnown
