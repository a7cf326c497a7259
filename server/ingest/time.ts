import { epochTime, instantsOf } from '../table/index.js'
import { type Read, reasons } from './reasons.js'
import { longestText, toNumber } from './value.js'

const mostNanoseconds = 1e20

/** ms; how far a sensor's clock may be ahead of ours */
export const aheadAllowed = 60_000

const readStamp = (text: string, timeZone: string | undefined): Read => {
  const found = instantsOf(text, timeZone ?? null)
  if (found === 'no time') return { reason: reasons.badTime }
  // taken as ours or as UTC it would be wrong by hours in half of all shops
  if (found === 'no zone') return { reason: reasons.noZone }
  return found.length === 1 ? { value: found[0]! } : { reason: reasons.unclearTime }
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
  return { value: Math.round(epochTime(number)) }
}
