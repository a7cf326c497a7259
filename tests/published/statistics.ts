import {
  autocorrelation,
  correlation,
  fitExponentialRise,
  fitLine,
  mean,
  type RiseFit,
  standardDeviation,
  theilSen,
} from '../../core/statistics/index.js'
import type { Check } from './check.js'
import { boxBod, lew, misra1a, norris } from './nist.js'

/** Allowed: the certified value to seven digits. */
const certified = (item: string, source: string, unit: string, published: number, computed: number): Check => ({
  item,
  source,
  unit,
  published,
  computed,
  allowed: Math.abs(published) * 1e-7,
})

const needed = <T>(fit: T | null): T => {
  if (fit === null) throw new Error('the fit found nothing')
  return fit
}

interface RiseSet {
  x: number[]
  y: number[]
  starts: number[]
  level: [number, number]
  rate: [number, number]
  rss: number
}

const rises = (name: string, set: RiseSet): Check[] =>
  set.starts.flatMap(start => {
    const fit: RiseFit = needed(fitExponentialRise(set.x, set.y, start))
    const source = `NIST StRD ${name}, certified`
    const row = (what: string, published: number, computed: number) =>
      certified(`${name} from ${start}: ${what}`, source, '', published, computed)
    return [
      row('b1', set.level[0], fit.level),
      row('b1, standard deviation', set.level[1], fit.levelError),
      row('b2', set.rate[0], fit.rate),
      row('b2, standard deviation', set.rate[1], fit.rateError),
      row('residual sum of squares', set.rss, fit.residualSumOfSquares),
    ]
  })

const lines = (): Check[] => {
  const fit = needed(fitLine(norris.x, norris.y))
  const source = 'NIST StRD Norris, certified'
  return [
    certified('Norris: intercept', source, '', -0.262323073774029, fit.intercept),
    certified('Norris: its standard deviation', source, '', 0.232818234301152, fit.interceptError),
    certified('Norris: slope', source, '', 1.00211681802045, fit.slope),
    certified('Norris: its standard deviation', source, '', 0.429796848199937e-3, fit.slopeError),
    certified('Norris: residual standard deviation', source, '', 0.884796396144373, fit.residualDeviation),
    certified('Norris: R²', source, '', 0.999993745883712, fit.rSquared),
  ]
}

const series = (): Check[] => [
  certified('Lew: mean', 'NIST StRD Lew, certified', '', -177.435, mean(lew)),
  certified('Lew: standard deviation', 'NIST StRD Lew, certified', '', 277.332168044316, standardDeviation(lew)),
  certified('Lew: lag-1 autocorrelation', 'NIST StRD Lew, certified', '', -0.307304800605679, autocorrelation(lew, 1)),
]

const robust = (): Check[] => {
  const x = [1, 2, 3, 4, 10, 12, 18]
  const y = [9, 15, 19, 20, 45, 55, 78]
  const source = 'Sen, J. Am. Stat. Assoc. 63, 1379 (1968), worked example'
  // Sen calls his limits 93 %; counted out exactly they hold 97 % (1 − 2·76/5040), so they are ours for 95 %, while ours for
  // 93 % are one slope narrower on each side and hold 93.1 %
  const { slope, lower, upper } = theilSen(x, y, 0.95)
  return [
    { item: 'Theil–Sen slope', source, unit: '', published: 4, computed: slope, allowed: 0 },
    {
      item: 'Sen’s limits (ours for 95 %), lower',
      source,
      unit: '',
      published: 26 / 7,
      computed: lower,
      allowed: 1e-12,
    },
    {
      item: 'Sen’s limits (ours for 95 %), upper',
      source,
      unit: '',
      published: 35 / 8,
      computed: upper,
      allowed: 1e-12,
    },
  ]
}

const anscombe = (): Check[] => {
  const x = [10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5]
  const y = [8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68]
  const source = 'Anscombe (1973), data set I, from memory; figures recomputed'
  const { r, probability } = correlation(x, y)
  const fit = needed(fitLine(x, y))
  return [
    { item: 'Anscombe I: Pearson r', source, unit: '', published: 0.816421, computed: r, allowed: 5e-7 },
    {
      item: 'Anscombe I: its probability',
      source,
      unit: '',
      published: 0.00216963,
      computed: probability,
      allowed: 5e-9,
    },
    { item: 'Anscombe I: slope', source, unit: '', published: 0.500091, computed: fit.slope, allowed: 5e-7 },
    {
      item: 'Anscombe I: its standard error',
      source,
      unit: '',
      published: 0.117906,
      computed: fit.slopeError,
      allowed: 5e-7,
    },
  ]
}

export const statisticsChecks = (): Check[] => [
  ...rises('Misra1a', {
    ...misra1a,
    starts: [1e-4, 5e-4],
    level: [238.94212918, 2.7070075241],
    rate: [5.5015643181e-4, 7.2668688436e-6],
    rss: 0.12455138894,
  }),
  ...rises('BoxBOD', {
    ...boxBod,
    starts: [1, 0.75],
    level: [213.80940889, 12.354515176],
    rate: [0.54723748542, 0.10455993237],
    rss: 1168.0088766,
  }),
  ...lines(),
  ...series(),
  ...robust(),
  ...anscombe(),
]
