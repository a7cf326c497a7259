/**
 * Quantities as people write them, to SI, and SI to the units people read. Every conversion of the project is in this
 * module. Inside core a length is in m, a temperature in °C, a difference in K, a duration in s, an expansion in 1/K.
 */

import { nearestNames } from './nearest.js'

/** What was written, understood; or what is wrong with it and what would be right. */
export type Parsed<T> = { value: T } | { problem: string; remedy: string }

/** °C; exact (definition of the Celsius temperature) */
export const absoluteZero = -273.15

// An inch is 0.0254 m and a Fahrenheit degree 5/9 K, both exactly (ISO 80000-3, NIST SP 811 appendix B.8). Multiplied
// and divided by whole numbers, so that "5 µm" is the very number 5e-6.
/** @param length m @returns mm */
export const toMillimetres = (length: number): number => length * 1000
/** @param length m @returns µm */
export const toMicrometres = (length: number): number => length * 1e6
/** @param length m @returns inches */
export const toInches = (length: number): number => (length * 10_000) / 254
/** @param length m @returns ten-thousandths of an inch */
export const toTenths = (length: number): number => (length * 1e8) / 254
/** @param length m @returns microinches */
export const toMicroinches = (length: number): number => (length * 1e10) / 254
/** @param mass kg @returns pounds (0.45359237 kg exactly, NIST SP 811 appendix B.8) */
export const toPounds = (mass: number): number => mass / 0.45359237
/** @param speed 1/s @returns 1/min */
export const toPerMinute = (speed: number): number => speed * 60
/** @param temperature °C @returns °F */
export const toFahrenheit = (temperature: number): number => (temperature * 9) / 5 + 32
/** @param temperature °F @returns °C */
const fromFahrenheit = (temperature: number): number => ((temperature - 32) * 5) / 9
/** @param difference K @returns degrees Fahrenheit, as a difference */
export const toFahrenheitDegrees = (difference: number): number => (difference * 9) / 5
/**
 * A temperature as it comes off the wire.
 *
 * @param temperature in `unit`
 * @returns °C
 */
export const toCelsius = (temperature: number, unit: '°C' | '°F' | 'K'): number => {
  if (unit === '°F') return fromFahrenheit(temperature)
  if (unit === 'K') return temperature + absoluteZero
  return temperature
}

interface Quantity {
  /** with its article: "a length" */
  name: string
  /** what would be right */
  remedy: string
  /** unit as written → SI */
  units: ReadonlyMap<string, (amount: number) => number>
}

const scaled = (names: string, times: number, per = 1): [string, (amount: number) => number][] =>
  names.split(' ').map(name => [name, amount => (amount * times) / per])

const length: Quantity = {
  name: 'a length',
  remedy:
    'write a length with its unit (m, cm, mm, µm or um, nm, in, thou, tenths, ft), for example 20 in, 762 mm or 5 µm',
  units: new Map([
    ...scaled('mm millimetre millimetres millimeter millimeters', 1, 1e3),
    ...scaled('µm um micron microns micrometre micrometres micrometer micrometers', 1, 1e6),
    ...scaled('in " inch inches', 254, 1e4),
    ...scaled('m metre metres meter meters', 1),
    ...scaled('cm', 1, 1e2),
    ...scaled('nm', 1, 1e9),
    ...scaled('ft foot feet', 3048, 1e4),
    ...scaled('thou', 254, 1e7),
    // the trade's word: a ten-thousandth of an inch
    ...scaled('tenth tenths', 254, 1e8),
    ...scaled('µin uin microinch microinches', 254, 1e10),
  ]),
}
const temperature: Quantity = {
  name: 'a temperature',
  remedy: 'write a temperature with its unit (°C, °F or K), for example 20 °C or 68 °F',
  units: new Map([
    ...scaled('°C C degC', 1),
    ...['°F', 'F', 'degF'].map((name): [string, (amount: number) => number] => [name, fromFahrenheit]),
    ['K', amount => amount + absoluteZero],
  ]),
}
const difference: Quantity = {
  name: 'a temperature difference',
  remedy: 'write a temperature difference with its unit (K, °C or °F), for example 0.3 K or 0.5 °F',
  units: new Map([...scaled('K °C C degC', 1), ...scaled('°F F degF', 5, 9)]),
}
const duration: Quantity = {
  name: 'a duration',
  remedy: 'write a duration with its unit (s, min, h, d), for example 10 s, 45 min, 3.5 h, 3 h 20 min or 2 d',
  units: new Map([
    ...scaled('s sec second seconds', 1),
    ...scaled('min mins minute minutes', 60),
    ...scaled('h hr hrs hour hours', 3600),
    ...scaled('d day days', 86_400),
    ...scaled('ms', 1, 1e3),
  ]),
}
const mass: Quantity = {
  name: 'a mass',
  remedy: 'write a mass with its unit (kg, g, lb), for example 12 kg or 26 lb',
  units: new Map([
    ...scaled('kg', 1),
    ...scaled('g', 1, 1e3),
    ...scaled('t', 1e3),
    ...scaled('lb lbs', 45_359_237, 1e8),
  ]),
}
const expansion: Quantity = {
  name: 'a coefficient of expansion',
  remedy: 'write a coefficient of expansion with its unit, for example 11.5 µm/m/K, 6.4 µin/in/°F or 11.5e-6 /K',
  units: new Map(
    [
      { names: 'µm/m um/m µin/in uin/in ppm', per: 1e6 },
      { names: 'mm/m', per: 1e3 },
      { names: ' 1 in/in m/m mm/mm', per: 1 },
    ].flatMap(({ names, per }) =>
      names
        .split(' ')
        .flatMap(name => [
          ...scaled(`${name}/K ${name}/°C ${name}/C`, 1, per),
          ...scaled(`${name}/°F ${name}/F`, 9, 5 * per),
        ]),
    ),
  ),
}
const speed: Quantity = {
  name: 'a speed',
  remedy: 'write a spindle speed with its unit (1/min or rpm), for example 6000 1/min',
  units: new Map([...scaled('1/min /min rpm r/min rev/min min-1', 1, 60), ...scaled('1/s /s rps', 1)]),
}
const percent: Quantity = {
  name: 'a percentage',
  remedy: 'write a percentage with its sign, for example 30 %',
  units: new Map(scaled('% percent', 1, 100)),
}
const quantities = [length, temperature, duration, expansion, speed, percent]

const tidy = (text: string) =>
  text
    .replace(/\u03bc/g, 'µ') // Greek mu; the other is the micro sign
    .replace(/\u2212/g, '-') // minus sign
    .replace(/\u2103/g, '°C') // one-letter degree Celsius, degree Fahrenheit
    .replace(/\u2109/g, '°F')
    .replace(/[\u00ba\u02da]\s*/g, '°') // look-alikes of the degree sign
    .replace(/°\s+/g, '°')
    .replace(/[\u2033\u201d]/g, '"')
    .replace(/\s+/g, ' ') // any blank, the no-break ones too
    .trim()

/** characters; a quantity has a few dozen */
const longest = 200
const quoted = (text: string) => `"${text.length > longest ? `${text.slice(0, 40)}…` : text.trim()}"`

const unitOf = (written: string, quantity: Quantity) => {
  const bare = written.replace(/[\s()]/g, '').replace(/[·⋅*]/g, '/')
  const exact = quantity.units.get(bare)
  if (exact) return exact
  for (const [name, toSI] of quantity.units) if (name.toLowerCase() === bare.toLowerCase()) return toSI
  return undefined
}

const number = /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:e[+-]?\d+)?/i
const fraction = /^([+-]?)(?:(\d+)[ -])?(\d+)\/(\d+)/

const parse = (text: string, quantity: Quantity): Parsed<number> => {
  const wrong = (problem: string) => ({ problem, remedy: quantity.remedy })
  if (text.length > longest) return wrong(`${quoted(text)} is too long to be ${quantity.name}`)
  const tidied = tidy(text)
  if (tidied === '') return wrong(`nothing is written where ${quantity.name} belongs`)

  let amount: number
  let unit: string
  const parts = quantity === length ? fraction.exec(tidied) : null
  if (parts) {
    amount = (parts[1] === '-' ? -1 : 1) * (Number(parts[2] ?? 0) + Number(parts[3]) / Number(parts[4]))
    unit = tidied.slice(parts[0].length)
  } else {
    const match = number.exec(tidied)
    if (!match) return wrong(`${quoted(text)} does not begin with a number, so it is not ${quantity.name}`)
    amount = Number(match[0])
    unit = tidied.slice(match[0].length)
  }
  unit = unit.trim()
  if (/^,\d/.test(unit))
    return wrong(`${quoted(text)} has a comma in its number; write a decimal point, and no comma between thousands`)
  if (unit === '') return wrong(`${quoted(text)} has no unit`)

  const toSI = unitOf(unit, quantity)
  if (!toSI) {
    const other = quantities.find(each => each !== quantity && each.units.has(unit))
    if (other) return wrong(`${quoted(text)} is ${other.name}, but ${quantity.name} is needed`)
    const [meant] = nearestNames(unit, quantity.units.keys(), 1)
    return wrong(
      `"${unit}" in ${quoted(text)} is not a unit for ${quantity.name}${meant ? `; did you mean ${meant}?` : ''}`,
    )
  }
  const value = toSI(amount)
  if (!Number.isFinite(value)) return wrong(`${quoted(text)} is not a finite number`)
  return { value }
}

/** @param text such as `20 in`, `1 3/8 in`, `762 mm`, `5 µm`, `5 um`, `2 tenths` (ten-thousandths of an inch) @returns m */
export const parseLength = (text: string): Parsed<number> => parse(text, length)

/** @param text such as `68 °F`, `20 °C`, `20 C`, `293.15 K` @returns °C, never below absolute zero */
export const parseTemperature = (text: string): Parsed<number> => {
  const parsed = parse(text, temperature)
  // a little slack: -459.67 °F is absolute zero to within rounding
  if ('value' in parsed && parsed.value < absoluteZero - 1e-9)
    return { problem: `${quoted(text)} is below absolute zero`, remedy: temperature.remedy }
  return parsed
}

/** @param text such as `0.3 K`, `2 °C`, `0.5 °F`, all taken as differences @returns K */
export const parseDifference = (text: string): Parsed<number> => parse(text, difference)

/** @param text such as `12 kg`, `26 lb` @returns kg */
export const parseMass = (text: string): Parsed<number> => parse(text, mass)

/** @param text such as `45 min`, `3.5 h`, `10 s`, `2 d`, `3 h 20 min` @returns s */
export const parseDuration = (text: string): Parsed<number> => {
  if (text.length > longest) return parse(text, duration)
  const parts = tidy(text).match(/^[+-]?[\d.]+ ?[a-z]+|(?<=[a-z]) ?[\d.]+ ?[a-z]+/gi) ?? []
  if (parts.length < 2 || parts.join('') !== tidy(text)) return parse(text, duration)
  let sum = 0
  for (const part of parts) {
    const parsed = parse(part, duration)
    if ('problem' in parsed) return parsed
    sum += parsed.value
  }
  return { value: sum }
}

/** @param text such as `11.5 µm/m/K`, `6.4 µin/in/°F`, `11.5e-6 /K` @returns 1/K */
export const parseExpansion = (text: string): Parsed<number> => parse(text, expansion)

/** @param text such as `6000 1/min`, `6000 rpm` @returns 1/s */
export const parseSpeed = (text: string): Parsed<number> => parse(text, speed)

/** @param text such as `30 %` @returns the part of one, 0.3 */
export const parsePercent = (text: string): Parsed<number> => parse(text, percent)

/** A quantity as it was written, with its uncertainty. */
export interface Uncertain {
  /** in the SI unit of its kind; temperatures in °C */
  value: number
  /** relative standard uncertainty, 0.3 for ± 30 %; absent when none is written */
  relativeUncertainty?: number
}

/**
 * A quantity with its standard uncertainty behind ±, as a percentage or in a unit of its own kind.
 *
 * @param text  such as `45 min ± 30 %`, `45 min +/- 10 min`, `11.5 µm/m/K ± 5 %`
 * @param parse what understands the quantity itself, `parseDuration` for instance
 */
export const parseUncertain = (text: string, parse: (text: string) => Parsed<number>): Parsed<Uncertain> => {
  const [quantity = '', spread, ...more] = text.split(/±|\+\s*\/\s*[-\u2212]|\+[-\u2212]/)
  const parsed = parse(quantity)
  if ('problem' in parsed) return parsed
  const { value } = parsed
  if (spread === undefined) return { value: { value } }
  const remedy =
    'write the standard uncertainty as a percentage or in the same kind of unit, for example 45 min ± 30 % or 45 min ± 10 min'
  if (more.length > 0) return { problem: `${quoted(text)} has ± more than once`, remedy }
  const uncertainty = relativeTo(value, spread, parse)
  if ('problem' in uncertainty) return { problem: `behind ±: ${uncertainty.problem}`, remedy }
  return { value: { value, relativeUncertainty: uncertainty.value } }
}

const relativeTo = (value: number, spread: string, parse: (text: string) => Parsed<number>): Parsed<number> => {
  const share = parsePercent(spread)
  const absolute = parse(spread)
  if ('problem' in share && 'problem' in absolute) return absolute
  const relative = 'value' in share ? share.value : 'value' in absolute ? absolute.value / Math.abs(value) : Number.NaN
  const remedy = 'write an uncertainty that is not negative, of a value that is not zero'
  if (!Number.isFinite(relative)) return { problem: 'an uncertainty relative to zero has no meaning', remedy }
  if (relative < 0) return { problem: 'an uncertainty cannot be negative', remedy }
  return { value: relative }
}
