import { barGrowth } from '../../core/growth/bar.js'
import { linearFit } from '../../core/statistics/least-squares.js'
import { type SeparableFit, separableFit } from '../../core/statistics/separable.js'
import type { Check } from './check.js'
import { boxBod, mgh17, misra1a } from './nist.js'

type Columns = (bent: readonly number[]) => Float64Array[]

/** b1·(1 − e^(−b2·x)), b2 by its logarithm */
const settlingCurve =
  (x: readonly number[]): Columns =>
  ([log]) => [Float64Array.from(x, at => -Math.expm1(-Math.exp(log!) * at))]

/** a constant and two exponentials; their rates by their logarithms */
const twoCurves =
  (x: readonly number[]): Columns =>
  logs => [
    new Float64Array(x.length).fill(1),
    ...logs.map(log => Float64Array.from(x, at => Math.exp(-Math.exp(log) * at))),
  ]

/**
 * The best of fits from a grid of rates, as a growth test is fitted: no start is taken from NIST's file. The amplitudes'
 * starting values do not matter, as they are exact for every trial of the rates.
 */
const fitted = (columns: Columns, y: readonly number[], starts: readonly (readonly number[])[]): SeparableFit => {
  const judged = starts
    .map(start => ({ start, squares: linearFit(columns(start), y)?.squares ?? Number.POSITIVE_INFINITY }))
    .sort((a, b) => a.squares - b.squares)
    .slice(0, 3)
  const fits = judged.map(({ start }) =>
    separableFit(
      columns,
      y,
      start,
      start.map(() => -20),
      start.map(() => 5),
    ),
  )
  return fits.reduce((best, fit) => (fit && (!best || fit.squares < best.squares) ? fit : best), null)!
}

const grid = Array.from({ length: 12 }, (_, i) => Math.log(1e-5) + (i / 11) * Math.log(1e5))

/** Standard deviations of amplitudes, then of rates (by the rate: d rate = rate · d log). */
const deviations = ({ inverse, squares, bent, amplitudes }: SeparableFit, count: number): number[] => {
  const variance = squares / (count - bent.length - amplitudes.length)
  return inverse.map((row, i) => {
    const own = Math.sqrt(variance * row[i]!)
    return i < amplitudes.length ? own : own * Math.exp(bent[i - amplitudes.length]!)
  })
}

/** decimal digits that agree, as NIST counts them: −log10 of the relative difference */
const digits = (computed: number, certified: number): number =>
  computed === certified ? 11 : Math.min(11, -Math.log10(Math.abs(computed / certified - 1)))

const setChecks = (
  name: string,
  columns: Columns,
  { x, y, estimates, deviation, squares }: typeof misra1a,
  starts: readonly (readonly number[])[],
): Check[] => {
  const fit = fitted(columns, y, starts)
  const found = [...fit.amplitudes, ...fit.bent.map(Math.exp)]
  const spread = deviations(fit, x.length)
  const row = (item: string, published: number, computed: number, places: number): Check => ({
    item: `${name}: ${item} (${digits(computed, published).toFixed(1)} digits agree)`,
    source: `NIST StRD ${name}, certified`,
    unit: '',
    published,
    computed,
    allowed: Math.abs(published) * 10 ** -places,
  })
  return [
    ...estimates.map((certified, i) => row(`b${i + 1}`, certified, found[i]!, 7)),
    ...deviation.map((certified, i) => row(`standard deviation of b${i + 1}`, certified, spread[i]!, 5)),
    row('residual sum of squares', squares, fit.squares, 7),
  ]
}

export const spindleChecks = (): Check[] => [
  ...setChecks(
    'Misra1a',
    settlingCurve(misra1a.x),
    misra1a,
    grid.map(log => [log]),
  ),
  ...setChecks(
    'BoxBOD',
    settlingCurve(boxBod.x),
    boxBod,
    grid.map(log => [log]),
  ),
  ...setChecks(
    'MGH17',
    twoCurves(mgh17.x),
    mgh17,
    grid.flatMap((slow, i) => grid.slice(i + 1).map(fast => [slow, fast])),
  ),
  {
    item: 'a steel spindle of 250 mm that gets 18 K warmer grows by about two thousandths of an inch',
    source: 'common practice, no source (0.002 inch in Z at everyday speeds); allowed: half of it',
    unit: 'mm',
    published: 0.0508,
    computed: 1000 * barGrowth(0.25, 11.5e-6, 18),
    allowed: 0.0254,
  },
]
