/** Whole numbers from 0 up to, not including, `below`; the same ones every time. */
export type Draw = (below: number) => number

/** Park and Miller's minimal standard generator (Comm. ACM 31, 1192, 1988). @param seed whole, above 0 */
export const drawing = (seed: number): Draw => {
  let state = seed
  return below => {
    state = (state * 48_271) % 2_147_483_647
    return state % below
  }
}

/**
 * Quantile of values that are sorted already, with straight lines between them.
 *
 * @param sorted      rising, at least one
 * @param probability 0..1
 * @returns in the unit of the values
 * @see Hyndman, R. J. & Fan, Y. (1996), The American Statistician 50, 361, definition 7
 */
export const quantileOf = (sorted: readonly number[], probability: number): number => {
  const place = probability * (sorted.length - 1)
  const low = Math.floor(place)
  const high = Math.min(low + 1, sorted.length - 1)
  return sorted[low]! + (place - low) * (sorted[high]! - sorted[low]!)
}

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
  found.sort((a, b) => a - b)
  const tail = (1 - coverage) / 2
  return found.length === 0
    ? { low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY }
    : { low: quantileOf(found, tail), high: quantileOf(found, 1 - tail) }
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
