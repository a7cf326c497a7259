import { type Read, reasons } from './reasons.js'
import { toNumber } from './value.js'

/** numbers from here on are ms, below it s: 1e11 ms is in 1973, 1e11 s in the year 5138 */
const fewestMilliseconds = 1e11

/** ms; how far a sensor's clock may be ahead of ours */
export const aheadAllowed = 60_000

// a date and a time of day, to the minute at least, and where they hold (RFC 3339, ISO 8601)
const stamp = /^(\d{4}-\d\d-\d\d)[T ](\d\d:\d\d(?::\d\d(?:[.,]\d+)?)?) ?(Z|[+-]\d\d(?::?\d\d)?)?$/i

const readStamp = (text: string): Read => {
  const parts = stamp.exec(text)
  if (!parts) return { reason: reasons.badTime }
  const [, date, clock = '', zone] = parts
  // taken as ours or as UTC it would be wrong by hours in half of all shops
  if (!zone) return { reason: reasons.noZone }
  const offset = /^z$/i.test(zone) ? 'Z' : `${zone.slice(0, 3)}:${zone.slice(3).replace(':', '') || '00'}`
  const value = Date.parse(`${date}T${clock.replace(',', '.')}${offset}`)
  return value >= 0 ? { value } : { reason: reasons.badTime }
}

/**
 * A sensor's own time in any of the usual forms.
 *
 * @param raw ms or s since 1970 as a number or decimal text, or an ISO 8601 date and time with its zone
 * @returns whole ms since 1970
 */
export const readTime = (raw: unknown): Read => {
  const number = toNumber(raw)
  if (number === undefined) return typeof raw === 'string' ? readStamp(raw.trim()) : { reason: reasons.badTime }
  if (!(number >= 0 && number < 1e16)) return { reason: reasons.badTime }
  return { value: Math.round(number >= fewestMilliseconds ? number : number * 1000) }
}
