import { formatGrowth, formatMoment, type UnitSystem, type Zone } from '../format.js'
import type { Shop } from '../shop.js'

/** For whom a sentence is made. */
export interface Reader {
  system: UnitSystem
  zone: Zone
  /** ms; when the sentence is read, or for what is on record, when it was shown */
  now: number
}

/** A reason in words, the first letter a capital, no full stop at the end of `text`. */
export interface Sentence {
  /** what is so */
  text: string
  /** sentences: what it takes of the tolerance, what would change it or what to do about it; may be empty */
  more: string
}

/**
 * The reader of whatever is not made for one person: tables, records and other systems get the shop's units and clock.
 */
export const shopReader = (
  { units = 'metric', timeZone, clock }: Pick<Shop, 'units' | 'timeZone' | 'clock'>,
  now: number,
): Reader => ({ system: units, zone: { timeZone, clock }, now })

/** A moment as the reader's clock has it. @param moment ms */
export const at = (moment: number, { now, zone }: Reader): string => formatMoment(moment, now, zone)

/** The same text with a capital in front. */
export const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1)

/** "a, b and c" */
export const listed = (names: readonly string[]): string =>
  names.length < 2 ? (names[0] ?? '') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`

/** How large something is; what is too small for the digits shown is "under 0.0001 in", not nothing. @param length m */
export const size = (length: number, { system }: Reader): string => {
  const text = formatGrowth(Math.abs(length), system, 'plain')
  return length !== 0 && Number.parseFloat(text) === 0
    ? `under ${text.includes('.') ? text.replace(/0(?= )/, '1') : text.replace('0', '0.1')}`
    : text
}
