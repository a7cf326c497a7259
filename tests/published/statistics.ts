import { lineSlope, mean, standardDeviation, theilSenSlope } from '../../core/statistics/index.js'
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
]

/** Anscombe (1973), data set I. */
const anscombe = {
  x: [10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5],
  y: [8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68],
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
]
