import type { Sensor } from '../../core/shop.js'
import { absoluteZero, toCelsius } from '../../core/units.js'
import { type Read, reasons } from './reasons.js'

/** °C; nothing in a shop is read beyond it, and summaries stay far from overflow */
const hottest = 10_000

const decimal = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?$/i

const words: ReadonlyMap<string, number> = new Map([
  ['open', 1],
  ['on', 1],
  ['true', 1],
  ['1', 1],
  ['closed', 0],
  ['off', 0],
  ['false', 0],
  ['0', 0],
])

const readState = (raw: unknown): Read => {
  const known = typeof raw === 'string' || typeof raw === 'boolean' || typeof raw === 'number'
  const value = known ? words.get(String(raw).trim().toLowerCase()) : undefined
  return value === undefined ? { reason: reasons.notState } : { value }
}

/** @returns a number as it stands or written as decimal text; `undefined` for anything else ("NaN", "0x1F", "21,5") */
export const toNumber = (raw: unknown): number | undefined => {
  if (typeof raw === 'number') return raw
  if (typeof raw !== 'string') return undefined
  const text = raw.trim()
  return decimal.test(text) ? Number(text) : undefined
}

/**
 * The value on the wire as it is stored.
 *
 * @param raw  what the payload holds at the sensor's path: text, or a JSON value
 * @param unit of the sensor; `state` takes open/closed, on/off, true/false, 1/0 in any case
 * @returns °C, or 1 and 0 for a state
 */
export const readValue = (raw: unknown, unit: Sensor['unit']): Read => {
  if (unit === 'state') return readState(raw)
  const number = toNumber(raw)
  if (number === undefined) return { reason: reasons.notNumber }
  if (!Number.isFinite(number)) return { reason: reasons.notFinite }
  const value = toCelsius(number, unit)
  // a little slack: -459.67 °F is absolute zero to within rounding
  return value < absoluteZero - 1e-9 || value > hottest ? { reason: reasons.impossible } : { value }
}
