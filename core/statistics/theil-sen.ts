import { median, medianReordering } from './median.js'
import { normalQuantile } from './normal.js'

const pairSlopes = (x: readonly number[], y: readonly number[]): Float64Array => {
  const slopes = new Float64Array((x.length * (x.length - 1)) / 2)
  let pairs = 0
  for (let i = 0; i < x.length; i++) {
    for (let j = i + 1; j < x.length; j++) {
      const run = x[j]! - x[i]!
      if (run !== 0) slopes[pairs++] = (y[j]! - y[i]!) / run
    }
  }
  return slopes.subarray(0, pairs)
}

/**
 * Slope of a line through points by the median of all pairwise slopes: a few bad points do not move it.
 *
 * @param x in any unit; pairs with equal x are left out
 * @param y same length as x
 * @returns slope, unit of y per unit of x; NaN with fewer than two different x
 * @see Sen, P. K. (1968), J. Am. Stat. Assoc. 63, 1379
 */
export const theilSenSlope = (x: readonly number[], y: readonly number[]): number => medianReordering(pairSlopes(x, y))

export interface SlopeInterval {
  /** unit of y per unit of x */
  slope: number
  /** −Infinity when there are too few points for the coverage */
  lower: number
  /** Infinity when there are too few points for the coverage */
  upper: number
}

/** Points up to which Kendall's distribution is counted out exactly. */
const counted = 60

/**
 * The slope of `theilSenSlope` with a confidence interval.
 *
 * @param coverage probability that the interval holds the true slope, as 0.95; met or exceeded
 * @returns all NaN with fewer than two different x
 * @see Sen, P. K. (1968), J. Am. Stat. Assoc. 63, 1379; Hollander & Wolfe, Nonparametric Statistical Methods, 9.3
 */
export const theilSen = (x: readonly number[], y: readonly number[], coverage = 0.95): SlopeInterval => {
  const slopes = pairSlopes(x, y).sort()
  const pairs = slopes.length
  if (pairs === 0) return { slope: Number.NaN, lower: Number.NaN, upper: Number.NaN }
  const ties = tiesOf(x)
  const within = x.length <= counted && ties === 0 ? counting(x.length, coverage) : normal(x.length, ties, coverage)
  const cut = Math.floor((pairs - within) / 2)
  return {
    slope: median(slopes),
    lower: cut < 1 ? Number.NEGATIVE_INFINITY : slopes[cut - 1]!,
    upper: cut < 1 ? Number.POSITIVE_INFINITY : slopes[pairs - cut]!,
  }
}

/** Sum of t(t − 1)(2t + 5) over groups of t equal x. */
const tiesOf = (x: readonly number[]): number => {
  const groups = new Map<number, number>()
  for (const each of x) groups.set(each, (groups.get(each) ?? 0) + 1)
  let sum = 0
  for (const t of groups.values()) sum += t * (t - 1) * (2 * t + 5)
  return sum
}

/** Smallest C for which Kendall's S lies within ±C with the coverage: the orders of `count` things by inversions. */
const counting = (count: number, coverage: number): number => {
  const pairs = (count * (count - 1)) / 2
  let chance = Float64Array.of(1)
  for (let n = 2; n <= count; n++) {
    const next = new Float64Array((n * (n - 1)) / 2 + 1)
    chance.forEach((each, inversions) => {
      for (let more = 0; more < n; more++) next[inversions + more]! += each / n
    })
    chance = next
  }
  let outside = 0
  for (let inversions = 0; inversions <= pairs / 2; inversions++) {
    outside += 2 * chance[inversions]!
    // leaving out this many inversions on both sides keeps S within ±(pairs − 2·inversions − 2)
    if (outside > 1 - coverage) return pairs - 2 * inversions
  }
  return pairs % 2
}

const normal = (count: number, ties: number, coverage: number): number =>
  normalQuantile((1 + coverage) / 2) * Math.sqrt((count * (count - 1) * (2 * count + 5) - ties) / 18)
