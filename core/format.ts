/**
 * How numbers, durations and times are written on the pages. The one module that decides it, with that of times, so that
 * 18 µm looks the same everywhere. SI in, text out; a value that is not known (null, NaN) becomes a dash.
 */

import { known, notKnown } from './format-time.js'
import {
  toFahrenheit,
  toFahrenheitDegrees,
  toInches,
  toMicroinches,
  toMicrometres,
  toMillimetres,
  toPerMinute,
  toPounds,
  toTenths,
} from './units.js'

export * from './format-time.js'

/** `inch` writes small lengths to the fourth decimal, `tenths` as ten-thousandths of an inch; else they are the same */
export type UnitSystem = 'metric' | 'inch' | 'tenths'
/** `signed` writes + or − before everything but zero, `plain` writes a − only */
type Sign = 'signed' | 'plain'

/** Numbers for axes of charts and scales of drawings: the unit, and the way from SI into it. */
export interface Scale {
  unit: string
  of: (si: number) => number
}
/** m → µm, inches or tenths */
export const growthScale: Record<UnitSystem, Scale> = {
  metric: { unit: 'µm', of: toMicrometres },
  inch: { unit: 'in', of: toInches },
  tenths: { unit: 'tenths', of: toTenths },
}

const bySystem = (metric: Scale, inch: Scale): Record<UnitSystem, Scale> => ({ metric, inch, tenths: inch })
/** m → mm or inches */
export const lengthScale = bySystem({ unit: 'mm', of: toMillimetres }, { unit: 'in', of: toInches })
/** m → µm or microinches: errors of gauges are finer than growth */
export const gaugeScale = bySystem({ unit: 'µm', of: toMicrometres }, { unit: 'µin', of: toMicroinches })
/** kg → kg or pounds */
export const massScale = bySystem({ unit: 'kg', of: kilograms => kilograms }, { unit: 'lb', of: toPounds })
/** °C → °C or °F */
export const temperatureScale = bySystem({ unit: '°C', of: celsius => celsius }, { unit: '°F', of: toFahrenheit })
/** K → K or °F, as a difference; also K/h → °F/h */
export const differenceScale = bySystem({ unit: 'K', of: kelvin => kelvin }, { unit: '°F', of: toFahrenheitDegrees })

/** A number with a true minus sign, and never a negative zero. */
const written = (amount: number, decimals: number, sign: Sign): string => {
  const digits = Math.abs(amount).toFixed(decimals)
  if (Number(digits) === 0) return digits
  return `${amount < 0 ? '−' : sign === 'signed' ? '+' : ''}${digits}`
}

/** A quantity in SI, with its unit. */
const inUnit = ({ unit, of }: Scale, quantity: number | null, decimals: number, sign: Sign): string =>
  known(quantity) ? `${written(of(quantity), decimals, sign)} ${unit}` : notKnown

/** The fewest decimals of `most` that lose nothing: 30.00 → 30, 15.75 stays. */
const trimmed = (amount: number, most: number): string => {
  const digits = written(amount, most, 'plain')
  let end = digits.length
  if (digits.includes('.')) {
    while (digits[end - 1] === '0') end -= 1
    if (digits[end - 1] === '.') end -= 1
  }
  return digits.slice(0, end)
}

const growthDigits = (growth: number, system: UnitSystem, sign: Sign): string => {
  const amount = growthScale[system].of(growth)
  // a size of four decimals has them always: 0.0000 in says no more than that it is less than half a tenth
  if (system === 'inch') return written(amount, 4, sign)
  const digits = written(amount, Math.abs(amount) < 9.95 ? 1 : 0, sign)
  return Number(digits) === 0 ? '0' : digits
}

/**
 * A growth or another small length: "+18 µm", "−2.4 µm"; "+0.0007 in", or "+7.1 tenths" where a shop prefers that.
 *
 * @param growth m
 */
export const formatGrowth = (growth: number | null, system: UnitSystem, sign: Sign = 'signed'): string =>
  known(growth) ? `${growthDigits(growth, system, sign)} ${growthScale[system].unit}` : notKnown

const fineDecimals: Record<UnitSystem, number> = { metric: 1, inch: 5, tenths: 2 }
/**
 * A growth that was measured to a fraction of a micrometre: "+18.4 µm", "+0.00072 in", "+7.24 tenths".
 *
 * @param growth m
 */
export const formatFineGrowth = (growth: number | null, system: UnitSystem, sign: Sign = 'signed'): string =>
  inUnit(growthScale[system], growth, fineDecimals[system], sign)

/** @param rate m/s @returns "+3.2 µm/h", "+0.0001 in/h" or "+1.3 tenths/h" */
export const formatGrowthRate = (rate: number | null, system: UnitSystem): string =>
  known(rate) ? `${growthDigits(rate * 3600, system, 'signed')} ${growthScale[system].unit}/h` : notKnown

/**
 * An error of a gauge, finer than a growth: "0.20 µm", "8 µin".
 *
 * @param error m
 */
export const formatGaugeError = (error: number | null, system: UnitSystem, sign: Sign = 'plain'): string => {
  if (!known(error)) return notKnown
  const { unit, of } = gaugeScale[system]
  const [amount, most] = [of(error), system === 'metric' ? 2 : 1]
  return `${written(amount, Math.abs(amount) < 9.95 ? most : most - 1, sign)} ${unit}`
}

/**
 * The width of a tolerance: "22 µm", "0.0009 in".
 *
 * @param tolerance m
 */
export const formatTolerance = (tolerance: number | null, system: UnitSystem): string =>
  formatGrowth(tolerance, system, 'plain')

/**
 * A length on a machine or a part: "762 mm", "406.4 mm", "15.75 in". Below a millimetre as a small length.
 *
 * @param length m
 */
export const formatLength = (length: number | null, system: UnitSystem): string => {
  if (!known(length)) return notKnown
  if (length !== 0 && Math.abs(length) < 0.001) return formatGrowth(length, system, 'plain')
  const amount = lengthScale[system].of(length)
  const decimals = system === 'metric' ? (Math.abs(amount) < 10 ? 2 : 1) : Math.abs(amount) < 1 ? 3 : 2
  return `${trimmed(amount, decimals)} ${lengthScale[system].unit}`
}

/** @param temperature °C @returns "20.4 °C" or "68.7 °F" */
export const formatTemperature = (temperature: number | null, system: UnitSystem, decimals = 1): string =>
  inUnit(temperatureScale[system], temperature, decimals, 'plain')

/** @param difference K @returns "+3.1 K" or "+5.6 °F"; plain "3.1 K" */
export const formatDifference = (
  difference: number | null,
  system: UnitSystem,
  sign: Sign = 'signed',
  decimals = 1,
): string => inUnit(differenceScale[system], difference, decimals, sign)

/**
 * An offset of a sensor, to the thousandth: "+0.125 K", "+0.225 °F"; with its uncertainty "+0.125 ± 0.006 K".
 *
 * @param offset      K
 * @param uncertainty K, expanded
 */
export const formatOffset = (offset: number | null, system: UnitSystem, uncertainty?: number): string => {
  if (!known(offset)) return notKnown
  const { unit, of } = differenceScale[system]
  const spread = known(uncertainty) ? ` ± ${written(of(uncertainty), 3, 'plain')}` : ''
  return `${written(of(offset), 3, 'signed')}${spread} ${unit}`
}

/** @param rate K/h @returns "+0.4 K/h" or "+0.7 °F/h" */
export const formatRate = (rate: number | null, system: UnitSystem, sign: Sign = 'signed', decimals = 1): string =>
  known(rate) ? `${formatDifference(rate, system, sign, decimals)}/h` : notKnown

/** @param gradient K/m @returns "0.25 K/m" or "0.14 °F/ft" */
export const formatGradient = (gradient: number | null, system: UnitSystem): string => {
  if (!known(gradient)) return notKnown
  const isMetric = system === 'metric'
  return `${formatDifference(isMetric ? gradient : gradient * 0.3048, system, 'plain', 2)}/${isMetric ? 'm' : 'ft'}`
}

/** @param slope m/m, of a surface that is out of level or square @returns "+20 µm/m" or "+0.0002 in/ft" */
export const formatSlope = (slope: number | null, system: UnitSystem): string => {
  if (!known(slope)) return notKnown
  return system === 'metric' ? `${formatGrowth(slope, system)}/m` : `${formatGrowth(slope * 0.3048, system)}/ft`
}

/** The speed of a spindle: "12 000 1/min", "0 1/min". @param speed 1/s */
export const formatSpeed = (speed: number | null): string =>
  known(speed) ? `${Math.round(toPerMinute(speed)).toLocaleString('en-US').replaceAll(',', '\u202f')} 1/min` : notKnown

/** @param percent such as a thermal error index @returns "27 %"; below ten one decimal, "4.2 %" */
export const formatPercent = (percent: number | null): string =>
  known(percent) ? `${trimmed(percent, Math.abs(percent) < 9.95 ? 1 : 0)} %` : notKnown

/** @param share part of one, 0.3 @returns "30 %" */
export const formatShare = (share: number | null): string => formatPercent(known(share) ? share * 100 : null)

/** What a device tells of its battery or signal, in the unit it tells it in: "87 %", "2.95 V", "−78 dBm". */
export const formatLevel = ({ value, unit }: { value: number; unit: '%' | 'V' | 'dBm' }): string =>
  `${unit === 'V' ? written(value, 2, 'plain') : trimmed(value, 0)} ${unit}`

/** @param alpha 1/K @returns "11.5 µm/m/K" or "6.4 µin/in/°F" */
export const formatExpansion = (alpha: number | null, system: UnitSystem): string => {
  if (!known(alpha)) return notKnown
  const perDegree = system === 'metric' ? alpha : alpha / toFahrenheitDegrees(1)
  const digits = trimmed(perDegree * 1e6, Math.abs(perDegree) < 1e-6 ? 2 : 1)
  return `${digits} ${system === 'metric' ? 'µm/m/K' : 'µin/in/°F'}`
}

/**
 * Growth for each degree: "4.59 µm/K", "100 µin/°F"; with its uncertainty "4.59 ± 0.12 µm/K".
 *
 * @param slope       m/K
 * @param uncertainty m/K, expanded
 */
export const formatSensitivity = (slope: number | null, system: UnitSystem, uncertainty?: number): string => {
  if (!known(slope)) return notKnown
  const degree = toFahrenheitDegrees(1)
  const scales: Record<UnitSystem, { unit: string; decimals: number; of: (value: number) => number }> = {
    metric: { unit: 'µm/K', decimals: 2, of: toMicrometres },
    inch: { unit: 'µin/°F', decimals: 0, of: value => toMicroinches(value) / degree },
    tenths: { unit: 'tenths/°F', decimals: 2, of: value => toTenths(value) / degree },
  }
  const { unit, decimals, of } = scales[system]
  const digits = (value: number, sign: Sign) => written(of(value), decimals, sign)
  const spread = known(uncertainty) ? ` ± ${digits(uncertainty, 'plain')}` : ''
  return `${digits(slope, 'plain')}${spread} ${unit}`
}

/** A factor near 1 with its uncertainty: "1.08 ± 0.03". */
export const formatFactor = (factor: number | null, uncertainty?: number): string =>
  known(factor) ? `${factor.toFixed(2)}${known(uncertainty) ? ` ± ${uncertainty.toFixed(2)}` : ''}` : notKnown

/** Hours that are added up, to the quarter of one: "745 h", "12.25 h". @param duration s */
export const formatHours = (duration: number | null): string =>
  known(duration) ? `${trimmed(duration / 3600, 2)} h` : notKnown
