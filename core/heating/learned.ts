import { mean, median, standardDeviation, studentFactor } from '../statistics/index.js'
import type { Setback } from './setbacks.js'

/** What a quantity is expected to be next time, and the half width of its 90 % interval, both in its unit. */
interface Expected {
  value: number
  half: number
}

/** How the air at a machine goes, after it was set back or when heating comes again. */
export interface Going {
  /** °C */
  to: Expected
  /** natural logarithm of the time constant in s */
  logTimeConstant: Expected
}

/** What past setbacks tell of the next one. */
export interface LearnedAir {
  /** after the heating was set back */
  away: Going
  /** when the heating comes again */
  back: Going
}

/** ms; a setback as long as this is that of a weekend or holiday, and goes further than a night's */
const longSetback = 30 * 3_600_000

/** setbacks; fewer are no custom. Judgement, no source */
const fewest = 3
/**
 * least half widths, K and natural logarithm: even setbacks that were all alike promise no more. Judgement, no source
 */
const least = { to: 0.3, logTimeConstant: 0.15 }

/**
 * The next of its kind: mean and 90 % prediction interval of a normal distribution.
 *
 * @see Hahn, G. J. & Meeker, W. Q. (1991), Statistical Intervals, 4.7: s·t·√(1 + 1/n)
 */
const expected = (values: readonly number[], floor: number): Expected => {
  const n = values.length
  const half = n > 1 ? studentFactor(0.9, n - 1) * standardDeviation(values) * Math.sqrt(1 + 1 / n) : 0
  return { value: mean(values), half: Math.max(half, floor) }
}

const going = (of: readonly { to: number; timeConstant: number }[]): Going => {
  const [levels, logs] = [of.map(({ to }) => to), of.map(({ timeConstant }) => Math.log(timeConstant))]
  return { to: expected(levels, least.to), logTimeConstant: expected(logs, least.logTimeConstant) }
}

/**
 * What to expect of the next setback: ways back of all of them, the fall of those of its kind (a night, or a weekend),
 * where there are too few of all.
 *
 * @param length ms; of the coming one
 * @returns null with fewer than three
 */
export const learnedAir = (setbacks: readonly Setback[], length: number): LearnedAir | null => {
  const falls = setbacks.flatMap(({ away, length: was }) => (away ? [{ ...away, long: was >= longSetback }] : []))
  const alike = falls.filter(({ long }) => long === length >= longSetback)
  const away = alike.length >= fewest ? alike : falls
  if (setbacks.length < fewest || away.length < fewest) return null
  return { away: going(away), back: going(setbacks.map(each => each.back)) }
}

/** s after midnight at which heating usually came back; null with fewer than three. @param offsets s after the day's midnight */
export const usualTime = (offsets: readonly number[]): number | null =>
  offsets.length < fewest ? null : median([...offsets])
