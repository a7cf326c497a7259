import {
  type Parsed,
  parseDifference,
  parseDuration,
  parseExpansion,
  parseLength,
  parsePercent,
  parseSpeed,
  parseTemperature,
  parseUncertain,
} from '../../core/units.js'
import { inWords, type Reader, suggestion } from './section.js'

/** Readers of single values. A number without a unit is never guessed at. */

const quantity =
  <T>(parse: (text: string) => Parsed<T>, what: string): Reader<T> =>
  raw => {
    if (typeof raw === 'string' || typeof raw === 'number') return parse(String(raw))
    const parsed = parse('')
    if ('value' in parsed) return parsed
    return { problem: `${inWords(raw)} is written where ${what} is expected`, remedy: parsed.remedy }
  }

export const length = quantity(parseLength, 'a length')
export const temperature = quantity(parseTemperature, 'a temperature')
export const difference = quantity(parseDifference, 'a temperature difference')
export const duration = quantity(parseDuration, 'a duration')
export const percent = quantity(parsePercent, 'a percentage')
export const speed = quantity(parseSpeed, 'a speed')
export const uncertainLength = quantity(text => parseUncertain(text, parseLength), 'a length')
export const uncertainDuration = quantity(text => parseUncertain(text, parseDuration), 'a duration')
export const uncertainExpansion = quantity(text => parseUncertain(text, parseExpansion), 'a coefficient of expansion')

/**
 * A value that must lie within bounds.
 *
 * @param within whether an SI value (or a quantity with its uncertainty) is allowed
 * @param remedy what is, in words
 */
export const bounded =
  <T>(read: Reader<T>, within: (value: T) => boolean, remedy: string): Reader<T> =>
  raw => {
    const parsed = read(raw)
    if ('problem' in parsed || within(parsed.value)) return parsed
    return { problem: `${inWords(raw)} is out of bounds`, remedy }
  }
export const positive = (read: Reader<number>, example: string) =>
  bounded(read, each => each > 0, `write a value above zero, for example ${example}`)
export const notNegative = (read: Reader<number>, example: string) =>
  bounded(read, each => each >= 0, `write zero or more, for example ${example}`)

/** A key that may be left out. */
export const or =
  <T, const D>(read: Reader<T>, otherwise: D): Reader<T | D> =>
  raw =>
    raw === undefined ? { value: otherwise } : read(raw)

export const text =
  (example: string): Reader<string> =>
  raw => {
    const written = typeof raw === 'string' || typeof raw === 'number' ? String(raw).trim() : ''
    if (written !== '') return { value: written }
    return { problem: `${inWords(raw)} is written where words are expected`, remedy: `write for example: ${example}` }
  }

/** An IANA name. */
export const timeZone: Reader<string> = raw => {
  const parsed = text('Europe/Vienna')(raw)
  if ('problem' in parsed) return parsed
  try {
    // a fixed offset such as +01:00 would be an hour wrong for half of the year
    if (/^[A-Za-z]/.test(parsed.value)) {
      new Intl.DateTimeFormat('en', { timeZone: parsed.value })
      return parsed
    }
  } catch {
    // not a zone: said below
  }
  const near = suggestion(parsed.value, Intl.supportedValuesOf('timeZone'), '')
  return {
    problem: `"${parsed.value}" is not a time zone`,
    remedy: near.startsWith('did') ? near : 'write a name such as Europe/Vienna, America/Chicago or UTC',
  }
}

export const flag: Reader<boolean> = raw =>
  typeof raw === 'boolean'
    ? { value: raw }
    : { problem: `${inWords(raw)} is neither yes nor no`, remedy: 'write true or false' }

export const choice =
  <const T extends string>(...choices: T[]): Reader<T> =>
  raw => {
    const found = choices.find(each => each === raw)
    if (found !== undefined) return { value: found }
    return {
      problem: `${inWords(raw)} is not one of the choices`,
      remedy: `write one of: ${choices.join(', ')}`,
    }
  }

/**
 * The name of something described elsewhere in the file.
 *
 * @param what  in words with its article: "a node of mill-1"
 * @param names those there are; null when their section cannot be read, and then every name passes
 */
export const reference =
  (what: string, names: readonly string[] | null): Reader<string> =>
  raw => {
    const written = typeof raw === 'string' || typeof raw === 'number' ? String(raw) : null
    if (written === null) {
      const few = names && names.length > 0 && names.length <= 12 ? `: ${names.join(', ')}` : ''
      return {
        problem: `${inWords(raw)} is written where the name of ${what} is expected`,
        remedy: `write the name of ${what}${few}`,
      }
    }
    if (names === null || names.includes(written)) return { value: written }
    return { problem: `"${written}" is not ${what}`, remedy: suggestion(written, names, 'the names are') }
  }

/** A factor other than 0. */
export const factor: Reader<number> = raw => {
  const number = typeof raw === 'number' ? raw : Number.NaN
  if (Number.isFinite(number) && number !== 0) return { value: number }
  return {
    problem: `${inWords(raw)} is not a factor`,
    remedy: 'write a number other than 0, for example 0.1 for tenths',
  }
}
