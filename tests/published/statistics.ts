import {
  autocorrelation,
  fisherExact,
  lineSlope,
  logisticFit,
  mean,
  standardDeviation,
  theilSenSlope,
  wilsonInterval,
} from '../../core/statistics/index.js'
import { falseAlarmProbability } from '../../core/statistics/periodogram.js'
import type { Check } from './check.js'
import { lew, norris } from './nist.js'

/** Allowed: the certified value to seven digits. */
const certified = (item: string, source: string, unit: string, published: number, computed: number): Check => ({
  item,
  source,
  unit,
  published,
  computed,
  allowed: Math.abs(published) * 1e-7,
})

const series = (): Check[] => [
  certified('Lew: mean', 'NIST StRD Lew, certified', '', -177.435, mean(lew)),
  certified('Lew: standard deviation', 'NIST StRD Lew, certified', '', 277.332168044316, standardDeviation(lew)),
  certified('Lew: autocorrelation, lag 1', 'NIST StRD Lew, certified', '', -0.307304800605679, autocorrelation(lew, 1)),
]

/** Anscombe (1973), data set I. */
const anscombe = {
  x: [10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5],
  y: [8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68],
}

/** Allowed: half a unit of the last digit given. */
const digits = (item: string, source: string, published: number, computed: number, decimals: number): Check => ({
  item,
  source,
  unit: '',
  published,
  computed,
  allowed: 0.5 * 10 ** -decimals,
})

const newcombe: [number, number, wilson: [number, number]][] = [
  [81, 263, [0.2553, 0.3662]],
  [15, 148, [0.0624, 0.1605]],
  [0, 20, [0, 0.1611]],
  [1, 29, [0.0061, 0.1718]],
]

const proportions = (): Check[] =>
  newcombe.flatMap(([found, of, [low, high]]) => {
    const source = 'Newcombe, Stat. Med. 17, 857 (1998), table I'
    const computed = wilsonInterval(found, of, 0.95)
    return [
      digits(`Wilson, ${found} of ${of}: low`, source, low, computed.low, 4),
      digits(`Wilson, ${found} of ${of}: high`, source, high, computed.high, 4),
    ]
  })

const tables = (): Check[] => {
  const tea = 'Fisher, The Design of Experiments (1935), II; figure recomputed'
  const twins = 'Fisher’s twins; figure recomputed'
  return [
    digits(
      'Fisher’s exact test, tea: two-sided',
      tea,
      0.485714,
      fisherExact([
        [3, 1],
        [1, 3],
      ]).twoSided,
      6,
    ),
    digits(
      'Fisher’s exact test, tea: one-sided',
      tea,
      0.242857,
      fisherExact([
        [3, 1],
        [1, 3],
      ]).greater,
      6,
    ),
    digits(
      'Fisher’s exact test, twins: two-sided',
      twins,
      5.36724e-4,
      fisherExact([
        [2, 10],
        [15, 3],
      ]).twoSided,
      9,
    ),
    digits(
      'Fisher’s exact test, twins: fewer',
      twins,
      4.65181e-4,
      fisherExact([
        [2, 10],
        [15, 3],
      ]).less,
      9,
    ),
  ]
}

/** Flights before January 1986: °F at launch, and whether any field joint's O-ring showed distress. */
const oRings = {
  temperature: [66, 70, 69, 68, 67, 72, 73, 70, 57, 63, 70, 78, 67, 53, 67, 75, 70, 81, 76, 79, 75, 76, 58],
  distress: [0, 1, 0, 0, 0, 0, 0, 0, 1, 1, 1, 0, 0, 2, 0, 0, 0, 0, 0, 0, 2, 0, 1],
}

const logistic = (): Check[] => {
  const source = 'O-ring distress, 23 flights, any distress: published data, figures recomputed'
  const fit = logisticFit(
    oRings.temperature,
    oRings.distress.map(rings => rings > 0),
  )!
  return [
    digits('logistic regression: intercept', source, 15.0429, fit.intercept, 4),
    digits('logistic regression: its standard error', source, 7.3786, fit.interceptError, 4),
    digits('logistic regression: slope', source, -0.232163, fit.slope, 6),
    digits('logistic regression: its standard error', source, 0.108237, fit.slopeError, 6),
    digits('logistic regression: deviance of none', source, 28.2672, fit.nullDeviance, 4),
    digits('logistic regression: deviance', source, 20.3152, fit.deviance, 4),
  ]
}

export const statisticsChecks = (): Check[] => [
  certified('Norris: slope', 'NIST StRD Norris, certified', '', 1.00211681802045, lineSlope(norris.x, norris.y)),
  ...series(),
  {
    item: 'Theil–Sen slope',
    source: 'Sen, J. Am. Stat. Assoc. 63, 1379 (1968), worked example',
    unit: '',
    published: 4,
    computed: theilSenSlope([1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78]),
    allowed: 0,
  },
  {
    item: 'Anscombe I: slope',
    source: 'Anscombe (1973), data set I, from memory; figures recomputed',
    unit: '',
    published: 0.500091,
    computed: lineSlope(anscombe.x, anscombe.y),
    allowed: 5e-7,
  },
  ...tables(),
  ...proportions(),
  ...logistic(),
  digits(
    'false-alarm probability, 100 frequencies, power 10',
    'Scargle, Astrophys. J. 263, 835 (1982), eq. 14; figure recomputed',
    0.0045298,
    falseAlarmProbability(10, 100),
    7,
  ),
]
