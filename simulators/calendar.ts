import { IANAZone } from 'luxon'

/** A moment as the shop's wall clock shows it. */
export interface LocalTime {
  /** days since 1970-01-01 by the local date */
  day: number
  /** 1 Monday … 7 Sunday */
  weekday: number
  /** 0 … 24, with its fraction */
  hour: number
  /** 0 … 366, with its fraction */
  dayOfYear: number
}

const HOUR = 3_600_000
const DAY = 24 * HOUR

/**
 * The shop's wall clock. The offset from UTC is looked up once an hour (no zone changes between full hours).
 *
 * @param timeZone IANA name
 * @returns a function from ms since 1970 (UTC) to the local time; the returned object is reused by the next call
 * @throws RangeError when the zone is not known
 */
export const createCalendar = (timeZone: string): ((time: number) => LocalTime) => {
  const zone = IANAZone.create(timeZone)
  if (!zone.isValid) throw new RangeError(`time zone "${timeZone}" is not known; use a name like "Europe/Vienna"`)
  let hourKnown = Number.NaN
  let offset = 0
  let yearBegins = 0
  let yearEnds = 0
  const local: LocalTime = { day: 0, weekday: 1, hour: 0, dayOfYear: 0 }

  return time => {
    const hour = Math.floor(time / HOUR)
    if (hour !== hourKnown) {
      hourKnown = hour
      offset = zone.offset(hour * HOUR) * 60_000
    }
    const wall = time + offset
    if (!(wall >= yearBegins && wall < yearEnds)) {
      const year = new Date(wall).getUTCFullYear()
      yearBegins = Date.UTC(year, 0, 1)
      yearEnds = Date.UTC(year + 1, 0, 1)
    }
    local.day = Math.floor(wall / DAY)
    // 1970-01-01 was a Thursday
    local.weekday = ((((local.day + 3) % 7) + 7) % 7) + 1
    local.hour = (wall - local.day * DAY) / HOUR
    local.dayOfYear = (wall - yearBegins) / DAY
    return local
  }
}

/**
 * The moment at which the shop's wall clock shows a date and an hour.
 *
 * @param hour 0 … 24, with its fraction
 * @returns ms since 1970 (UTC)
 */
export const momentOf = (timeZone: string, year: number, month: number, day: number, hour: number): number => {
  const wall = Date.UTC(year, month - 1, day) + hour * HOUR
  const zone = IANAZone.create(timeZone)
  const guess = wall - zone.offset(wall) * 60_000
  return wall - zone.offset(guess) * 60_000
}
