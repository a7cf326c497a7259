import type { Draw } from '../statistics/drawing.js'
import { quantile } from '../statistics/quantile.js'

/**
 * Interval of a statistic of things that follow each other in time and go with their neighbours: blocks of neighbours are drawn
 * with replacement, round and round, so that what goes with what stays together.
 *
 * @param all in order of time
 * @param statistic of a drawing; one that is not finite does not count
 * @param block how many neighbours stay together
 * @param coverage probability, as 0.9
 * @param rounds how often is drawn
 * @returns in the unit of the statistic; from −∞ to +∞ where it was never finite
 * @see Politis, D. N. & Romano, J. P. (1992), A circular block-resampling procedure for stationary data
 */
export const blockInterval = <T>(
  all: readonly T[],
  statistic: (drawn: readonly T[]) => number,
  block: number,
  coverage: number,
  rounds: number,
  draw: Draw,
): { low: number; high: number } => {
  const n = all.length
  const found: number[] = []
  for (let round = 0; round < rounds; round++) {
    const drawn: T[] = []
    while (drawn.length < n) {
      const from = draw(n)
      for (let k = 0; k < block && drawn.length < n; k++) drawn.push(all[(from + k) % n]!)
    }
    const value = statistic(drawn)
    if (Number.isFinite(value)) found.push(value)
  }
  const tail = (1 - coverage) / 2
  return found.length === 0
    ? { low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY }
    : { low: quantile(found, tail), high: quantile(found, 1 - tail) }
}

/**
 * How often a course goes as well with what was measured when it is moved round in time: both keep whatever memory they have,
 * and only whether they belong together is lost.
 *
 * @param statistic of the course moved on by so many steps; larger is better
 * @param steps how many steps the course has
 * @param apart moves of fewer steps than this, either way, are not another course
 * @returns 0..1
 * @see circular shift test; Ebisuzaki, W. (1997), J. Climate 10, 2147, on series with memory
 */
export const shiftChance = (statistic: (moved: number) => number, steps: number, apart: number): number => {
  const here = statistic(0)
  if (!Number.isFinite(here)) return 1
  let [asGood, tried] = [0, 0]
  for (let moved = apart; moved <= steps - apart; moved++) {
    tried++
    if (statistic(moved) >= here) asGood++
  }
  return (asGood + 1) / (tried + 1)
}
