import type { Draw } from '../statistics/drawing.js'
import { autocorrelation } from '../statistics/index.js'
import { quantile } from '../statistics/quantile.js'
import type { Pairs, Sums } from './share-explained.js'

/** blocks that are drawn together */
const mostBlocks = 200

/**
 * Intervals of statistics of parts that follow each other in time and go with their neighbours: blocks of neighbours are
 * drawn with replacement, round and round, so that what goes with what stays together. Costs as much for each drawing as
 * there are blocks.
 *
 * @param all in order of time
 * @param statistics of a drawing; one that is not finite does not count
 * @param block how many neighbours stay together
 * @param coverage probability, as 0.9
 * @param rounds how often is drawn
 * @returns in the units of the statistics; from −∞ to +∞ where one was never finite
 * @see Politis, D. N. & Romano, J. P. (1992), A circular block-resampling procedure for stationary data
 */
export const blockIntervals = (
  { x, y }: Pairs,
  statistics: readonly ((drawn: Sums) => number)[],
  block: number,
  coverage: number,
  rounds: number,
  draw: Draw,
): { low: number; high: number }[] => {
  const n = x.length
  // longer blocks than neighbours need are as right, and so many are enough to know the interval
  const length = Math.max(block, Math.ceil(n / mostBlocks))
  // sums up to each part, twice round, so that a block is one difference
  const upTo = () => new Float64Array(2 * n + 1)
  const [sx, sy, sxx, sxy, syy] = [upTo(), upTo(), upTo(), upTo(), upTo()]
  for (let i = 0; i < 2 * n; i++) {
    const [a, b] = [x[i % n]!, y[i % n]!]
    sx[i + 1] = sx[i]! + a
    sy[i + 1] = sy[i]! + b
    sxx[i + 1] = sxx[i]! + a * a
    sxy[i + 1] = sxy[i]! + a * b
    syy[i + 1] = syy[i]! + b * b
  }
  const found: number[][] = statistics.map(() => [])
  const drawn: Sums = { n, x: 0, y: 0, xx: 0, xy: 0, yy: 0 }
  for (let round = 0; round < rounds; round++) {
    drawn.x = drawn.y = drawn.xx = drawn.xy = drawn.yy = 0
    for (let filled = 0; filled < n; filled += length) {
      const from = draw(n)
      const to = from + Math.min(length, n - filled)
      drawn.x += sx[to]! - sx[from]!
      drawn.y += sy[to]! - sy[from]!
      drawn.xx += sxx[to]! - sxx[from]!
      drawn.xy += sxy[to]! - sxy[from]!
      drawn.yy += syy[to]! - syy[from]!
    }
    statistics.forEach((statistic, k) => {
      const value = statistic(drawn)
      if (Number.isFinite(value)) found[k]!.push(value)
    })
  }
  const tail = (1 - coverage) / 2
  return found.map(values =>
    values.length === 0
      ? { low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY }
      : { low: quantile(values, tail), high: quantile(values, 1 - tail) },
  )
}

/**
 * How many neighbours of a series go with each other: until its autocorrelation has fallen to a third.
 *
 * @param most a longer memory is not looked for
 * @returns neighbours, 1 or more
 */
export const memoryOf = (values: ArrayLike<number>, most: number): number => {
  for (let lag = 1; lag < most; lag = Math.ceil(lag * 1.1)) if (!(autocorrelation(values, lag) > 1 / 3)) return lag
  return Math.max(1, most)
}
