import { normalQuantile } from './normal.js'

/**
 * Interval of a proportion by the score test: covers on average what it says.
 *
 * @param coverage probability, as 0.95
 * @returns 0..1
 * @throws RangeError for anything but whole numbers, found ≤ of
 * @see Wilson, E. B. (1927), J. Am. Stat. Assoc. 22, 209; Newcombe, R. G. (1998), Stat. Med. 17, 857, method 3
 */
export const wilsonInterval = (found: number, of: number, coverage: number): { low: number; high: number } => {
  if (!(Number.isInteger(found) && Number.isInteger(of) && found >= 0 && of > 0 && found <= of))
    throw new RangeError(`${found} of ${of}: give two whole numbers, the first no larger than the second`)
  const z = normalQuantile((1 + coverage) / 2)
  const centre = found + (z * z) / 2
  const half = z * Math.sqrt((found * (of - found)) / of + (z * z) / 4)
  const clipped = (value: number) => Math.min(Math.max(value / (of + z * z), 0), 1)
  return { low: clipped(centre - half), high: clipped(centre + half) }
}
