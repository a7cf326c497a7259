import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  formatClock,
  formatDateTime,
  formatDifference,
  formatDuration,
  formatExpansion,
  formatFactor,
  formatGaugeError,
  formatGrowth,
  formatGrowthRate,
  formatLength,
  formatLevel,
  formatMoment,
  formatOffset,
  formatPercent,
  formatRate,
  formatSensitivity,
  formatShare,
  formatSince,
  formatSpeed,
  formatStretch,
  formatTemperature,
  formatTolerance,
  growthScale,
  massScale,
  notKnown,
  temperatureScale,
} from '../../core/format.js'
import { parseDuration, parseLength } from '../../core/units.js'

describe('errors of gauges', () => {
  it('are told to the hundredth of a micrometre or the microinch', () => {
    expect(formatGaugeError(0.2e-6, 'metric')).toBe('0.20 µm')
    expect(formatGaugeError(0.2e-6, 'inch')).toBe('7.9 µin')
    expect(formatGaugeError(-23.94e-6, 'metric', 'signed')).toBe('−23.9 µm')
    expect(formatGaugeError(-25.4e-6, 'tenths')).toBe('−1000 µin')
    expect(formatGaugeError(null, 'metric')).toBe(notKnown)
  })
  it('and masses in pounds of 0.45359237 kg', () => {
    expect(massScale.inch.of(0.45359237)).toBe(1)
    expect(massScale.metric.of(120)).toBe(120)
  })
})

describe('growth', () => {
  it.each([
    [18e-6, '+18 µm', '+0.0007 in', '+7.1 tenths'],
    [-18.4e-6, '−18 µm', '−0.0007 in', '−7.2 tenths'],
    [2.44e-6, '+2.4 µm', '+0.0001 in', '+1.0 tenths'],
    [9.96e-6, '+10 µm', '+0.0004 in', '+3.9 tenths'],
    [123.4e-6, '+123 µm', '+0.0049 in', '+49 tenths'],
    [0.6e-6, '+0.6 µm', '0.0000 in', '+0.2 tenths'],
    [0, '0 µm', '0.0000 in', '0 tenths'],
    [-1e-9, '0 µm', '0.0000 in', '0 tenths'],
  ])('%s m', (metres, metric, inch, tenths) => {
    expect(formatGrowth(metres, 'metric')).toBe(metric)
    expect(formatGrowth(metres, 'inch')).toBe(inch)
    expect(formatGrowth(metres, 'tenths')).toBe(tenths)
  })

  it('leaves the plus away when asked, never the minus', () => {
    expect(formatGrowth(18e-6, 'metric', 'plain')).toBe('18 µm')
    expect(formatGrowth(-18e-6, 'metric', 'plain')).toBe('−18 µm')
    expect(formatTolerance(22e-6, 'metric')).toBe('22 µm')
    expect(formatTolerance(22e-6, 'inch')).toBe('0.0009 in')
  })

  it('stays within half a unit of the last place shown', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -1e-3, max: 1e-3, noNaN: true }),
        fc.constantFrom('metric' as const, 'inch' as const, 'tenths' as const),
        (growth, system) => {
          const shown = Number(formatGrowth(growth, system).replace('−', '-').split(' ')[0])
          const exact = growthScale[system].of(growth)
          const place = system === 'inch' ? 0.0001 : Math.abs(exact) < 9.95 ? 0.1 : 1
          expect(Math.abs(shown - exact)).toBeLessThanOrEqual(place / 2 + 1e-12)
        },
      ),
    )
  })

  it('has a rate', () => {
    expect(formatGrowthRate(3.2e-6 / 3600, 'metric')).toBe('+3.2 µm/h')
    expect(formatGrowthRate(-25.4e-6 / 3600, 'inch')).toBe('−0.0010 in/h')
    expect(formatGrowthRate(-25.4e-6 / 3600, 'tenths')).toBe('−10 tenths/h')
  })
})

describe('lengths', () => {
  it.each([
    [0.762, '762 mm', '30 in'],
    [0.4064, '406.4 mm', '16 in'],
    [0.38, '380 mm', '14.96 in'],
    [-0.08, '−80 mm', '−3.15 in'],
    [0.00635, '6.35 mm', '0.25 in'],
    [22e-6, '22 µm', '0.0009 in'],
    [0, '0 mm', '0 in'],
  ])('%s m', (metres, metric, inch) => {
    expect(formatLength(metres, 'metric')).toBe(metric)
    expect(formatLength(metres, 'inch')).toBe(inch)
    expect(formatLength(metres, 'tenths')).toBe(metres === 22e-6 ? '8.7 tenths' : inch)
  })

  it('can be read again', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 5, noNaN: true }),
        fc.constantFrom('metric' as const, 'inch' as const),
        (length, system) => {
          const parsed = parseLength(formatLength(length, system))
          expect('value' in parsed && Math.abs(parsed.value - length)).toBeLessThan(0.00013)
        },
      ),
    )
  })
})

describe('temperatures', () => {
  it('are written in the system of the page', () => {
    expect(formatTemperature(20.42, 'metric')).toBe('20.4 °C')
    expect(formatTemperature(20, 'inch')).toBe('68.0 °F')
    expect(formatTemperature(-5, 'metric')).toBe('−5.0 °C')
    expect(formatTemperature(-0.04, 'metric')).toBe('0.0 °C')
    expect(formatTemperature(20.42, 'metric', 2)).toBe('20.42 °C')
  })
  it('differ and change', () => {
    expect(formatDifference(3.1, 'metric')).toBe('+3.1 K')
    expect(formatDifference(3.1, 'inch')).toBe('+5.6 °F')
    expect(formatDifference(3.1, 'metric', 'plain')).toBe('3.1 K')
    expect(formatDifference(-0.02, 'metric')).toBe('0.0 K')
    expect(formatRate(-0.4, 'metric')).toBe('−0.4 K/h')
    expect(formatRate(0.4, 'inch')).toBe('+0.7 °F/h')
  })
  it('have a scale for charts', () => {
    expect(temperatureScale.inch.of(100)).toBe(212)
    expect(temperatureScale.inch.unit).toBe('°F')
  })
})

it('writes percentages, shares and expansion', () => {
  expect(formatLevel({ value: 87.4, unit: '%' })).toBe('87 %')
  expect(formatLevel({ value: 100, unit: '%' })).toBe('100 %')
  expect(formatLevel({ value: 2.9549, unit: 'V' })).toBe('2.95 V')
  expect(formatLevel({ value: -78, unit: 'dBm' })).toBe('−78 dBm')
  expect(formatSpeed(200)).toBe('12\u202f000 1/min')
  expect(formatSpeed(0)).toBe('0 1/min')
  expect(formatPercent(27.3)).toBe('27 %')
  expect(formatPercent(4.24)).toBe('4.2 %')
  expect(formatPercent(9.97)).toBe('10 %')
  expect(formatPercent(142.6)).toBe('143 %')
  expect(formatShare(0.3)).toBe('30 %')
  expect(formatExpansion(11.5e-6, 'metric')).toBe('11.5 µm/m/K')
  // arithmetic: 11.5 / 1.8 = 6.39
  expect(formatExpansion(11.5e-6, 'inch')).toBe('6.4 µin/in/°F')
})

it('writes a dash for what is not known', () => {
  for (const unknown of [null, Number.NaN, Number.POSITIVE_INFINITY]) {
    expect(formatGrowth(unknown, 'metric')).toBe(notKnown)
    expect(formatGrowthRate(unknown, 'metric')).toBe(notKnown)
    expect(formatLength(unknown, 'inch')).toBe(notKnown)
    expect(formatTemperature(unknown, 'inch')).toBe(notKnown)
    expect(formatDifference(unknown, 'inch')).toBe(notKnown)
    expect(formatRate(unknown, 'inch')).toBe(notKnown)
    expect(formatPercent(unknown)).toBe(notKnown)
    expect(formatShare(unknown)).toBe(notKnown)
    expect(formatDuration(unknown)).toBe(notKnown)
    expect(formatClock(unknown, 'UTC')).toBe(notKnown)
    expect(formatSince(unknown, 0, 'UTC')).toBe(notKnown)
  }
})

describe('durations', () => {
  it.each([
    [0, '0 s'],
    [45, '45 s'],
    [59.6, '1 min'],
    [720, '12 min'],
    [3585, '1 h'],
    [12_000, '3 h 20 min'],
    [86_390, '1 d'],
    [187_200, '2 d 4 h'],
    [-720, '−12 min'],
  ])('%s s is %s', (seconds, text) => {
    expect(formatDuration(seconds)).toBe(text)
  })

  it('can be read again, to 3 % or half a minute', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 30 * 86_400 }), seconds => {
        const parsed = parseDuration(formatDuration(seconds))
        expect('value' in parsed && Math.abs(parsed.value - seconds)).toBeLessThanOrEqual(Math.max(30, 0.03 * seconds))
      }),
    )
  })
})

describe('moments', () => {
  // a Monday; Vienna is an hour ahead of UTC in winter, Chicago six behind
  const monday = Date.UTC(2025, 10, 3, 5, 42)
  const zone = 'Europe/Vienna'

  it('are given in the shop’s time', () => {
    expect(formatClock(monday, zone)).toBe('06:42')
    expect(formatClock(monday, 'America/Chicago')).toBe('23:42')
    const chicago = { timeZone: 'America/Chicago', clock: '12 h' } as const
    expect(formatClock(monday, chicago)).toBe('11:42 pm')
    expect(formatClock(monday + 18 * 60_000, chicago)).toBe('12:00 am')
    expect(formatClock(monday + 12.5 * 3_600_000, chicago)).toBe('12:12 pm')
    expect(formatMoment(monday, monday + 3_600_000, chicago)).toBe('Sun 11:42 pm')
    expect(formatMoment(monday, monday, { ...chicago, clock: '24 h' })).toBe('23:42')
    expect(formatClock(Date.UTC(2025, 10, 2, 23, 0), zone)).toBe('00:00')
    expect(formatDateTime(monday, zone)).toBe('Mon 3 Nov 2025 06:42')
    expect(formatDateTime(Date.UTC(2025, 8, 1, 12), 'UTC')).toBe('Mon 1 Sep 2025 12:00')
  })

  it('follow summer time', () => {
    // clocks in the European Union go back on the last Sunday of October at 01:00 UTC (Directive 2000/84/EC)
    expect(formatClock(Date.UTC(2025, 9, 26, 0, 30), zone)).toBe('02:30')
    expect(formatClock(Date.UTC(2025, 9, 26, 1, 30), zone)).toBe('02:30')
  })

  it.each([
    [monday + 3_600_000, 'since 06:42'],
    [monday + 86_400_000, 'since Mon 06:42'],
    [monday + 6 * 86_400_000, 'since Mon 06:42'],
    [monday + 7 * 86_400_000, 'since 3 Nov 06:42'],
    [monday + 90 * 86_400_000, 'since 3 Nov 2025 06:42'],
  ])('are as short as they can be (%s)', (now, text) => {
    expect(formatSince(monday, now, zone)).toBe(text)
  })

  it('look ahead as well as back', () => {
    expect(formatMoment(monday, monday - 3_600_000, zone)).toBe('06:42')
    expect(formatMoment(monday, monday - 12 * 3_600_000, zone)).toBe('Mon 06:42')
  })

  it('go by the calendar day of the shop, not of UTC', () => {
    const evening = Date.UTC(2025, 10, 2, 23, 30) // 00:30 on Monday in Vienna
    expect(formatMoment(evening, monday, zone)).toBe('00:30')
    expect(formatMoment(evening, monday, 'UTC')).toBe('Sun 23:30')
  })

  it('gives a stretch its second day only when it has one', () => {
    const stretch = (hours: number) => formatStretch(monday, monday + hours * 3_600_000, zone)
    expect(stretch(2)).toMatch(/^Mon 3 Nov 2025 06:42 – 08:42$/)
    expect(stretch(24)).toMatch(/^Mon 3 Nov 2025 06:42 – Tue 4 Nov 2025 06:42$/)
  })
})

describe('sensitivity and factors', () => {
  it.each([
    [4.59e-6, undefined, '4.59 µm/K', '100 µin/°F'],
    [-1.2e-6, 0.1e-6, '−1.20 ± 0.10 µm/K', '−26 ± 2 µin/°F'],
    [Number.NaN, undefined, notKnown, notKnown],
  ])('writes %s m/K', (slope, uncertainty, metric, inch) => {
    expect(formatSensitivity(slope, 'metric', uncertainty)).toBe(metric)
    expect(formatSensitivity(slope, 'inch', uncertainty)).toBe(inch)
    if (slope > 0) expect(formatSensitivity(slope, 'tenths')).toBe('1.00 tenths/°F')
  })

  it('writes offsets of sensors to the thousandth', () => {
    expect(formatOffset(0.12549, 'metric', 0.0061)).toBe('+0.125 ± 0.006 K')
    expect(formatOffset(-0.3, 'metric')).toBe('−0.300 K')
    expect(formatOffset(-0.1, 'inch', 0.01)).toBe('−0.180 ± 0.018 °F')
    expect(formatOffset(0, 'metric')).toBe('0.000 K')
    expect(formatOffset(null, 'metric')).toBe(notKnown)
  })

  it('writes factors', () => {
    expect(formatFactor(1.0846, 0.0312)).toBe('1.08 ± 0.03')
    expect(formatFactor(0.9)).toBe('0.90')
    expect(formatFactor(null)).toBe(notKnown)
  })
})
