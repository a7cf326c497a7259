import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
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
  toCelsius,
  toFahrenheit,
  toInches,
  toTenths,
} from '../../core/units.js'

const read = <T>(parsed: Parsed<T>): T => {
  if ('problem' in parsed) throw new Error(parsed.problem)
  return parsed.value
}
const problemOf = (parsed: Parsed<unknown>): string => ('problem' in parsed ? parsed.problem : 'none')

describe('lengths', () => {
  it.each([
    // 1 in = 25.4 mm exactly: NIST SP 811, appendix B.8
    ['1 in', 0.0254],
    ['20 in', 0.508],
    ['20in', 0.508],
    ['20"', 0.508],
    ['1 3/8 in', 0.034925],
    ['3/4 in', 0.01905],
    ['762 mm', 0.762],
    ['-80 mm', -0.08],
    ['−80 mm', -0.08],
    ['1.2 m', 1.2],
    ['.5 mm', 0.0005],
    ['5 µm', 5e-6],
    ['5 μm', 5e-6],
    ['5 um', 5e-6],
    ['0.0002 in', 5.08e-6],
    // a tenth is a ten-thousandth of an inch: common practice, no source
    ['2 tenths', 5.08e-6],
    ['1 thou', 2.54e-5],
    ['1 ft', 0.3048],
    ['5 MM', 0.005],
    ['5\u00a0mm', 0.005],
  ])('%s', (text, metres) => {
    expect(read(parseLength(text))).toBeCloseTo(metres, 15)
  })

  it('takes the Greek mu and the micro sign for the same', () => {
    expect(parseLength('5 \u03bcm')).toEqual(parseLength('5 \u00b5m'))
  })

  it.each([
    ['20', 'has no unit'],
    ['', 'nothing is written'],
    ['  ', 'nothing is written'],
    ['wide', 'does not begin with a number'],
    ['20 K', 'is a temperature, but a length is needed'],
    ['45 min', 'is a duration, but a length is needed'],
    ['20 parsec', '"parsec" in "20 parsec" is not a unit for a length'],
    ['20 mmm', 'did you mean mm?'],
    ['0,5 mm', 'comma'],
    ['1,000 mm', 'comma'],
    ['1e999 m', 'not a finite number'],
    ['1/0 in', 'not a finite number'],
    ['NaN mm', 'does not begin with a number'],
    ['Infinity mm', 'does not begin with a number'],
  ])('refuses "%s"', (text, problem) => {
    const parsed = parseLength(text)
    expect(problemOf(parsed)).toContain(problem)
    expect('remedy' in parsed && parsed.remedy).toContain('20 in')
  })

  it('gives the length that was written, whatever its unit', () => {
    const metresPerUnit = { m: 1, cm: 1e-2, mm: 1e-3, µm: 1e-6, in: 0.0254, ft: 0.3048, tenths: 2.54e-6 }
    fc.assert(
      fc.property(
        fc.double({ min: -1e6, max: 1e6, noNaN: true }),
        fc.constantFrom(...(Object.keys(metresPerUnit) as (keyof typeof metresPerUnit)[])),
        fc.constantFrom('', ' ', '  '),
        (amount, unit, gap) => {
          const metres = read(parseLength(`${amount}${gap}${unit}`))
          const expected = amount * metresPerUnit[unit]
          expect(Math.abs(metres - expected)).toBeLessThanOrEqual(1e-12 * Math.abs(expected))
        },
      ),
    )
  })

  it('never throws, and always says what would be right', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'grapheme' }), text => {
        for (const parse of [
          parseLength,
          parseTemperature,
          parseDifference,
          parseDuration,
          parseExpansion,
          parsePercent,
        ]) {
          const parsed = parse(text)
          if ('value' in parsed) expect(Number.isFinite(parsed.value)).toBe(true)
          else expect(parsed.remedy).toContain('for example')
        }
      }),
    )
  })
})

describe('temperatures', () => {
  it.each([
    // fixed points of the Fahrenheit scale: t/°C = (t/°F − 32)/1.8, NIST SP 811, appendix B.8
    ['32 °F', 0],
    ['212 °F', 100],
    ['68 °F', 20],
    ['-40 °F', -40],
    ['-459.67 °F', -273.15],
    ['20 °C', 20],
    ['20 C', 20],
    ['20 º C', 20],
    ['20 ℃', 20],
    ['68 f', 20],
    ['293.15 K', 20],
  ])('%s', (text, celsius) => {
    expect(read(parseTemperature(text))).toBeCloseTo(celsius, 10)
  })

  it('refuses what is colder than absolute zero', () => {
    expect(problemOf(parseTemperature('-274 °C'))).toContain('below absolute zero')
    expect(problemOf(parseTemperature('-460 °F'))).toContain('below absolute zero')
    expect(problemOf(parseTemperature('-1 K'))).toContain('below absolute zero')
  })

  it('says that a bare number has no unit', () => {
    expect(problemOf(parseTemperature('20'))).toContain('has no unit')
  })

  it('goes to °F and back', () => {
    fc.assert(
      fc.property(fc.double({ min: -273, max: 2000, noNaN: true }), celsius => {
        expect(toCelsius(toFahrenheit(celsius), '°F')).toBeCloseTo(celsius, 9)
      }),
    )
  })

  it('converts what comes off the wire', () => {
    expect(toCelsius(68, '°F')).toBe(20)
    expect(toCelsius(293.15, 'K')).toBeCloseTo(20, 10)
    expect(toCelsius(20, '°C')).toBe(20)
  })
})

describe('temperature differences', () => {
  it.each([
    ['0.3 K', 0.3],
    ['2 °C', 2],
    ['9 °F', 5],
    ['0.5 °F', 0.2777777777777778],
    ['-0.2 K', -0.2],
  ])('%s', (text, kelvin) => {
    expect(read(parseDifference(text))).toBeCloseTo(kelvin, 12)
  })
})

describe('durations', () => {
  it.each([
    ['10 s', 10],
    ['45 min', 2700],
    ['3.5 h', 12_600],
    ['2 d', 172_800],
    ['3 h 20 min', 12_000],
    ['1h30min', 5400],
    ['500 ms', 0.5],
    ['2 hours', 7200],
  ])('%s', (text, seconds) => {
    expect(read(parseDuration(text))).toBeCloseTo(seconds, 12)
  })

  it('does not take m for minutes', () => {
    expect(problemOf(parseDuration('45 m'))).toContain('is a length, but a duration is needed')
  })
  it.each(['3 h 20', '3 20 min', '1:30', '3 h min', '1 h -5 min'])('refuses "%s"', text => {
    expect(problemOf(parseDuration(text))).not.toBe('none')
  })
})

describe('coefficients of expansion', () => {
  it.each([
    ['11.5 µm/m/K', 11.5e-6],
    ['11.5 µm/(m·K)', 11.5e-6],
    ['11.5 um/m/°C', 11.5e-6],
    ['11.5 ppm/K', 11.5e-6],
    ['11.5e-6 /K', 11.5e-6],
    ['11.5e-6 1/K', 11.5e-6],
    // per degree Fahrenheit is nine fifths of per kelvin: NIST SP 811, appendix B.8
    ['5 µin/in/°F', 9e-6],
    ['6.4 µin/in/°F', 11.52e-6],
  ])('%s', (text, alpha) => {
    expect(read(parseExpansion(text))).toBeCloseTo(alpha, 15)
  })

  it('knows that 11.5 µm/m/K is 6.39 µin/in/°F', () => {
    // arithmetic: 11.5 / 1.8
    expect(read(parseExpansion('6.39 µin/in/°F')) * 1e6).toBeCloseTo(11.5, 2)
  })
  it('refuses a coefficient without its degree', () => {
    expect(problemOf(parseExpansion('11.5 µm/m'))).toContain('did you mean µm/m/K?')
  })
})

describe('percentages and uncertainties', () => {
  it('reads a percentage', () => {
    expect(parsePercent('30 %')).toEqual({ value: 0.3 })
    expect(parseSpeed('6000 rpm')).toEqual({ value: 100 })
    expect(parseSpeed('6000 1/min')).toEqual({ value: 100 })
    expect(problemOf(parseSpeed('6000'))).toContain('has no unit')
    expect(problemOf(parseSpeed('6000 mm'))).toContain('is a length')
    expect(parsePercent('30%')).toEqual({ value: 0.3 })
    expect(problemOf(parsePercent('30'))).toContain('has no unit')
  })

  it.each([
    ['45 min ± 30 %', 0.3],
    ['45 min +/- 30 %', 0.3],
    ['45 min +- 30%', 0.3],
    ['45 min ± 9 min', 0.2],
    ['45 min ± 540 s', 0.2],
    ['45 min', undefined],
  ])('%s', (text, relative) => {
    const { value, relativeUncertainty } = read(parseUncertain(text, parseDuration))
    expect(value).toBe(2700)
    if (relative === undefined) expect(relativeUncertainty).toBeUndefined()
    else expect(relativeUncertainty).toBeCloseTo(relative, 12)
  })

  it.each([
    ['45 min ± 5', 'has no unit'],
    ['45 min ± 3 K', 'is a temperature'],
    ['45 min ± -3 %', 'cannot be negative'],
    ['0 s ± 3 s', 'relative to zero'],
    ['45 min ± 3 % ± 2 %', 'more than once'],
    ['± 3 %', 'nothing is written'],
  ])('refuses "%s"', (text, problem) => {
    expect(problemOf(parseUncertain(text, parseDuration))).toContain(problem)
  })
})

it('counts in inches and ten-thousandths', () => {
  // 1 in = 25.4 mm exactly: NIST SP 811, appendix B.8
  expect(toInches(0.0254)).toBe(1)
  expect(toTenths(2.54e-6)).toBeCloseTo(1, 12)
})
