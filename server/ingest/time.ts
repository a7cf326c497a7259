import { DateTime } from 'luxon'
import { type Read, reasons } from './reasons.js'
import { longestText, toNumber } from './value.js'

/** numbers below are s since 1970, of which 1e11 is in the year 5138; 1e11 ms is in 1973, and so on, by thousands */
const fewestMilliseconds = 1e11
const fewestMicroseconds = 1e14
const fewestNanoseconds = 1e17
const mostNanoseconds = 1e20

/** ms; how far a sensor's clock may be ahead of ours */
export const aheadAllowed = 60_000

// a date and a time of day, to the minute at least, and where they hold (RFC 3339, ISO 8601)
const stamp = /^(\d{4}-\d\d-\d\d)[T ](\d\d:\d\d(?::\d\d(?:[.,]\d+)?)?) ?(Z|[+-]\d\d(?::?\d\d)?)?$/i

/** A time of day as the clocks of a zone show it; one they show twice or never, when they are set, is refused. */
const readInZone = (text: string, timeZone: string): Read => {
  const time = DateTime.fromISO(text, { zone: timeZone })
  if (!time.isValid || time.toMillis() < 0) return { reason: reasons.badTime }
  const shown = time.toFormat("yyyy-MM-dd'T'HH:mm")
  if (shown !== text.slice(0, shown.length) || time.getPossibleOffsets().length > 1)
    return { reason: reasons.unclearTime }
  return { value: time.toMillis() }
}

const readStamp = (text: string, timeZone: string | undefined): Read => {
  const parts = stamp.exec(text)
  if (!parts) return { reason: reasons.badTime }
  const [, date, clock = '', zone] = parts
  const written = `${date}T${clock.replace(',', '.')}`
  if (!zone && timeZone !== undefined) return readInZone(written, timeZone)
  // taken as ours or as UTC it would be wrong by hours in half of all shops
  if (!zone) return { reason: reasons.noZone }
  const offset = /^z$/i.test(zone) ? 'Z' : `${zone.slice(0, 3)}:${zone.slice(3).replace(':', '') || '00'}`
  const value = Date.parse(`${written}${offset}`)
  return value >= 0 ? { value } : { reason: reasons.badTime }
}

const milliseconds = (number: number): number => {
  if (number < fewestMilliseconds) return number * 1e3
  if (number < fewestMicroseconds) return number
  return number < fewestNanoseconds ? number / 1e3 : number / 1e6
}

/**
 * A sensor's own time in any of the usual forms.
 *
 * @param raw      s, ms, µs or ns since 1970, told apart by their size, as a number or decimal text; or an ISO 8601
 * date and time
 * @param timeZone IANA name, for a date and time without a zone, which is refused if this is not given
 * @returns whole ms since 1970
 */
export const readTime = (raw: unknown, timeZone?: string): Read => {
  const number = toNumber(raw)
  if (number === undefined)
    return typeof raw === 'string' && raw.length <= longestText
      ? readStamp(raw.trim(), timeZone)
      : { reason: reasons.badTime }
  if (!(number >= 0 && number < mostNanoseconds)) return { reason: reasons.badTime }
  return { value: Math.round(milliseconds(number)) }
}
