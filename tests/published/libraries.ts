import jstat from 'jstat'
import { levenbergMarquardt } from 'ml-levenberg-marquardt'
import { Matrix, QrDecomposition, SVD } from 'ml-matrix'
import * as simple from 'simple-statistics'
import {
  correlation,
  fitExponentialRise,
  fitLine,
  leastSquares,
  mean,
  normalQuantile,
  standardDeviation,
  studentFactor,
  theilSenSlope,
} from '../../core/statistics/index.js'
import type { Check } from './check.js'
import { drawnChecks } from './drawn.js'
import { integratedChecks } from './integrated.js'
import { lew, misra1a, norris } from './nist.js'

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

const needed = <T>(fit: T | null): T => {
  if (fit === null) throw new Error('the fit found nothing')
  return fit
}

/** A parabola through Misra1a, by Householder QR on both sides. */
const parabola = (): Check[] => {
  const rows = misra1a.x.map(x => [1, x, x * x])
  const ours = needed(leastSquares(rows, misra1a.y))
  const design = new Matrix(rows)
  const theirs = new QrDecomposition(design).solve(Matrix.columnVector(misra1a.y)).to1DArray()
  const { condition } = new SVD(design)
  return theirs.map((published, i) => ({
    item: `least squares, parabola: coefficient of x^${i}`,
    source: 'ml-matrix, QR; allowed: rounding times the condition number',
    unit: '',
    published,
    computed: ours.coefficients[i]!,
    allowed: rounding * condition * Math.abs(published),
  }))
}

const lines = (): Check[] => {
  const { x, y } = norris
  const line = needed(fitLine(x, y))
  const theirs = simple.linearRegression(x.map((each, i) => [each, y[i]!]))
  const slopes = x.flatMap((from, i) =>
    x.slice(i + 1).flatMap((to, k) => (to === from ? [] : [(y[i + 1 + k]! - y[i]!) / (to - from)])),
  )
  const library = 'simple-statistics'
  // sums over 36 values, of squares up to 1e6 that cancel to a small intercept
  const operations = 36 * 36
  return [
    rounded('line through Norris: slope', library, theirs.m, line.slope, operations),
    {
      item: 'line through Norris: intercept',
      source: `${library}; allowed: rounding of the largest value`,
      unit: '',
      published: theirs.b,
      computed: line.intercept,
      allowed: operations * rounding * Math.max(...y),
    },
    rounded(
      'correlation of Norris',
      library,
      simple.sampleCorrelation(x as number[], y as number[]),
      correlation(x, y).r,
      operations,
    ),
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

/** Misra1a, from a start near enough for the library. */
const rise = (): Check[] => {
  const ours = needed(fitExponentialRise(misra1a.x, misra1a.y))
  const theirs = levenbergMarquardt(
    { x: misra1a.x as number[], y: misra1a.y as number[] },
    ([level, rate]) =>
      x =>
        level! * (1 - Math.exp(-rate! * x)),
    {
      initialValues: [238, 5.5e-4],
      damping: 1e-6,
      maxIterations: 500,
      errorTolerance: 0,
      gradientDifference: [1e-4, 1e-9],
      centralDifference: true,
    },
  )
  const [level, rate] = theirs.parameterValues
  // at the minimum, a sum of squares known to rounding leaves the parameters uncertain by its square root
  const flat = Math.sqrt(rounding)
  const source = 'ml-levenberg-marquardt; allowed: √rounding, a minimum is flat'
  const row = (item: string, published: number, computed: number): Check => ({
    item: `exponential rise, Misra1a: ${item}`,
    source,
    unit: '',
    published,
    computed,
    allowed: flat * Math.abs(published),
  })
  return [row('level', level!, ours.level), row('rate', rate!, ours.rate)]
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

/** Growth, fits and statistics against general-purpose libraries: the library's result stands under "published". */
export const libraryChecks = (): Check[] => [
  ...parabola(),
  ...lines(),
  ...rise(),
  ...quantiles(),
  ...integratedChecks(),
  ...drawnChecks(),
]
