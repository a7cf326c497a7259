import type { Sensor } from '../../core/shop.js'
import { absoluteZero, parseLength, parseSpeed, toCelsius } from '../../core/units.js'
import { type Read, reasons } from './reasons.js'

type TemperatureUnit = '°C' | '°F' | 'K'

/** °C; nothing in a shop is read beyond it, and summaries stay far from overflow */
const hottest = 10_000

const decimal = /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:e[+-]?\d+)?$/i
/** with one comma, which can then only stand for the point */
const withComma = /^[+-]?(?:\d+,\d*|,\d+)(?:e[+-]?\d+)?$/i
const numberAndUnit = /^([+-]?[\d.,]+(?:e[+-]?\d+)?)\s*([^\d\s.,+_-]\D*)$/iu

/** characters; what is longer is no number, time or unit, and is not looked at */
export const longestText = 100

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

/** what devices send instead of a value when they have none; common practice, no source */
const noValues: ReadonlySet<string> = new Set(
  [
    '',
    'null',
    'nil',
    'none',
    'nan',
    'n/a',
    'na',
    '-',
    '--',
    '---',
    'unavailable',
    'unknown',
    'offline',
    'error',
  ].concat(['undefined', 'invalid', 'fault', 'bad', 'disconnected']),
)

/** spellings in use, without blanks and in lower case; `cel` and `[degf]` are UCUM's */
const units: ReadonlyMap<string, TemperatureUnit> = new Map(
  Object.entries({
    '°C': ['°c', 'ºc', '˚c', '℃', 'c', 'degc', 'deg.c', 'cel', 'celsius', 'degreescelsius', 'degreecelsius'],
    '°F': [
      '°f',
      'ºf',
      '˚f',
      '℉',
      'f',
      'degf',
      'deg.f',
      '[degf]',
      'fahrenheit',
      'degreesfahrenheit',
      'degreefahrenheit',
    ],
    K: ['k', 'kelvin'],
  } satisfies Record<TemperatureUnit, string[]>).flatMap(([unit, spellings]) =>
    spellings.map((spelling): [string, TemperatureUnit] => [spelling, unit as TemperatureUnit]),
  ),
)

/** @returns `undefined` for what is no unit of temperature we know */
export const readUnit = (raw: unknown): TemperatureUnit | undefined =>
  typeof raw === 'string' && raw.length <= longestText ? units.get(raw.replace(/\s/gu, '').toLowerCase()) : undefined

const hasNoValue = (raw: unknown): boolean =>
  raw === null || (typeof raw === 'string' && noValues.has(raw.trim().toLowerCase()))

const readState = (raw: unknown): Read => {
  const known = typeof raw === 'string' || typeof raw === 'boolean' || typeof raw === 'number'
  const value = known ? words.get(String(raw).trim().toLowerCase()) : undefined
  return value === undefined ? { reason: reasons.notState } : { value }
}

/** @returns a number as it stands or written as decimal text; `undefined` for anything else ("NaN", "0x1F", "1,234.5") */
export const toNumber = (raw: unknown): number | undefined => {
  if (typeof raw === 'number') return raw
  if (typeof raw !== 'string' || raw.length > longestText) return undefined
  const text = raw.trim()
  if (decimal.test(text)) return Number(text)
  return withComma.test(text) ? Number(text.replace(',', '.')) : undefined
}

/** 1/s and m; no spindle turns faster or is read to be longer */
const most = { speed: 5000, length: 10 }

/** A speed, whichever way it turns, or a length; text may have its own unit behind the number. */
const readAtSpindle = (raw: unknown, unit: Exclude<Sensor['unit'], 'state' | TemperatureUnit>, scale: number): Read => {
  const number = toNumber(raw)
  const parse = unit === '1/min' ? parseSpeed : parseLength
  const parsed = parse(number === undefined ? String(raw) : `${number * scale} ${unit}`)
  if ('problem' in parsed)
    return {
      reason:
        number === undefined
          ? reasons.notNumber
          : Number.isFinite(number)
            ? reasons.impossibleAtSpindle
            : reasons.notFinite,
    }
  const value = unit === '1/min' ? Math.abs(parsed.value) : parsed.value
  return Math.abs(value) > (unit === '1/min' ? most.speed : most.length)
    ? { reason: reasons.impossibleAtSpindle }
    : { value }
}

/**
 * The value on the wire as it is stored.
 *
 * @param raw   what the payload holds at the sensor's path: text, or a JSON value; text may have its unit behind the
 * number, which then counts
 * @param unit  of the sensor; `state` takes open/closed, on/off, true/false, 1/0 in any case
 * @param scale the number times this is in the unit: 0.1 for tenths
 * @returns °C, 1 and 0 for a state, at a spindle 1/s or m
 */
export const readValue = (raw: unknown, unit: Sensor['unit'], scale = 1): Read => {
  if (typeof raw === 'string' && raw.length > longestText)
    return { reason: unit === 'state' ? reasons.notState : reasons.notNumber }
  if (hasNoValue(raw)) return { reason: reasons.noValue }
  if (unit === 'state') return readState(raw)
  if (unit !== '°C' && unit !== '°F' && unit !== 'K') return readAtSpindle(raw, unit, scale)
  let inUnit = unit
  let number = toNumber(raw)
  if (number === undefined && typeof raw === 'string') {
    const [, written, behind] = numberAndUnit.exec(raw.trim()) ?? []
    number = toNumber(written)
    const ownUnit = readUnit(behind)
    if (number !== undefined && !ownUnit) return { reason: reasons.unknownUnit }
    inUnit = ownUnit ?? unit
  }
  if (number === undefined) return { reason: reasons.notNumber }
  if (!Number.isFinite(number)) return { reason: reasons.notFinite }
  const value = toCelsius(number * scale, inUnit)
  // a little slack: -459.67 °F is absolute zero to within rounding
  return value < absoluteZero - 1e-9 || value > hottest ? { reason: reasons.impossible } : { value }
}
