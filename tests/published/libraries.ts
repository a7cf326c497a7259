import jstat from 'jstat'
import * as simple from 'simple-statistics'
import { lineSlope, mean, standardDeviation, studentFactor, theilSenSlope } from '../../core/statistics/index.js'
import { normalQuantile } from '../../core/statistics/normal.js'
import type { Check } from './check.js'
import { integratedChecks } from './integrated.js'
import { lew, norris } from './nist.js'

const { jStat } = jstat

/** smallest relative step of a double */
const rounding = Number.EPSILON

/** A row whose two sides may differ by the rounding of so many operations. */
const rounded = (item: string, library: string, published: number, computed: number, operations: number): Check => ({
  item,
  source: `${library}; allowed: rounding`,
  unit: '',
  published,
  computed,
  allowed: operations * rounding * Math.abs(published),
})

const lines = (): Check[] => {
  const { x, y } = norris
  const theirs = simple.linearRegression(x.map((each, i) => [each, y[i]!]))
  const slopes = x.flatMap((from, i) =>
    x.slice(i + 1).flatMap((to, k) => (to === from ? [] : [(y[i + 1 + k]! - y[i]!) / (to - from)])),
  )
  const library = 'simple-statistics'
  // sums over 36 values, twice
  const operations = 36 * 36
  return [
    rounded('line through Norris: slope', library, theirs.m, lineSlope(x, y), operations),
    rounded('mean of Lew', library, simple.mean(lew as number[]), mean(lew), lew.length),
    rounded(
      'standard deviation of Lew',
      library,
      simple.sampleStandardDeviation(lew as number[]),
      standardDeviation(lew),
      2 * lew.length,
    ),
    {
      item: 'Theil–Sen slope of Norris',
      source: `median of all ${slopes.length} slopes, ${library}`,
      unit: '',
      published: simple.median(slopes),
      computed: theilSenSlope(x, y),
      allowed: 0,
    },
  ]
}

const quantiles = (): Check[] => [
  ...[0.6, 0.9, 0.975, 0.995, 0.9999].map(probability =>
    // the tail is 1 − probability, and rounding of it is felt through the density
    rounded(
      `normal quantile at ${probability}`,
      'jstat',
      jStat.normal.inv(probability, 0, 1),
      normalQuantile(probability),
      16 / (1 - probability),
    ),
  ),
  ...[2, 4, 16, 50, 200].map((degrees): Check => {
    const published = jStat.studentt.inv(0.975, degrees)
    return {
      item: `Student’s t, 95 %, ${degrees} degrees of freedom`,
      source: 'jstat; allowed: it stops at 1e-8 of ν/(ν + t²)',
      unit: '',
      published,
      computed: studentFactor(0.95, degrees),
      allowed: (1e-8 * published * (degrees + published ** 2)) / (2 * published ** 2),
    }
  }),
]

/** Settling and statistics against general-purpose libraries: the library's result stands under "published". */
export const libraryChecks = (): Check[] => [...lines(), ...quantiles(), ...integratedChecks()]
