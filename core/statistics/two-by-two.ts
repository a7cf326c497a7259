import { logGamma } from './beta.js'
import { normalQuantile } from './normal.js'

/** Counts: rows by whether it was exposed, columns by whether it came out bad. */
type TwoByTwo = readonly [readonly [number, number], readonly [number, number]]

const logFactorial = (n: number): number => logGamma(n + 1)

/**
 * Fisher's exact test: whether two ways of sorting the same things have anything to do with each other.
 *
 * @returns probability, with all four sums given, of a table that is as unlikely or more so (`twoSided`); with so few in the
 *   first cell, or fewer (`less`); with so many, or more (`greater`)
 * @throws RangeError for counts that are not whole, or below 0
 * @see Fisher, R. A. (1935), The Design of Experiments, II
 */
export const fisherExact = ([[a, b], [c, d]]: TwoByTwo): { twoSided: number; less: number; greater: number } => {
  if (![a, b, c, d].every(count => Number.isInteger(count) && count >= 0))
    throw new RangeError(`counts ${[a, b, c, d].join(', ')}: give whole numbers from 0 up`)
  const [row, column, all] = [a + b, a + c, a + b + c + d]
  const fixed =
    logFactorial(row) + logFactorial(all - row) + logFactorial(column) + logFactorial(all - column) - logFactorial(all)
  const probability = (k: number) =>
    Math.exp(
      fixed - logFactorial(k) - logFactorial(row - k) - logFactorial(column - k) - logFactorial(all - row - column + k),
    )
  const here = probability(a)
  const sums = { twoSided: 0, less: 0, greater: 0 }
  for (let k = Math.max(0, row + column - all); k <= Math.min(row, column); k++) {
    const p = probability(k)
    // what is as unlikely must count in spite of rounding
    if (p <= here * (1 + 1e-7)) sums.twoSided += p
    if (k <= a) sums.less += p
    if (k >= a) sums.greater += p
  }
  return { twoSided: Math.min(sums.twoSided, 1), less: Math.min(sums.less, 1), greater: Math.min(sums.greater, 1) }
}

/**
 * Odds ratio with its interval: how much oftener it came out bad where it was exposed. Half a count is added to each cell, so
 * that an empty one gives an interval too.
 *
 * @param coverage probability of the interval, as 0.95
 * @returns without unit; 1 where it makes no difference
 * @see Haldane, J. B. S. (1956), Ann. Hum. Genet. 20, 309; Anscombe, F. J. (1956), Biometrika 43, 461
 */
export const oddsRatio = (
  [[a, b], [c, d]]: TwoByTwo,
  coverage: number,
): { ratio: number; low: number; high: number } => {
  const cells = [a, b, c, d].map(count => count + 0.5) as [number, number, number, number]
  const log = Math.log((cells[0] * cells[3]) / (cells[1] * cells[2]))
  const half = normalQuantile((1 + coverage) / 2) * Math.sqrt(cells.reduce((sum, count) => sum + 1 / count, 0))
  return { ratio: Math.exp(log), low: Math.exp(log - half), high: Math.exp(log + half) }
}
