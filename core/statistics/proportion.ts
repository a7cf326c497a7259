import { betaQuantile } from './beta.js'
import { normalQuantile } from './normal.js'

interface Interval {
  low: number
  high: number
}

const checked = (found: number, of: number): void => {
  if (!(Number.isInteger(found) && Number.isInteger(of) && found >= 0 && of > 0 && found <= of))
    throw new RangeError(`${found} of ${of}: give two whole numbers, the first no larger than the second`)
}

/**
 * Interval of a proportion by the score test: covers on average what it says.
 *
 * @param coverage probability, as 0.95
 * @returns 0..1
 * @throws RangeError for anything but whole numbers, found ≤ of
 * @see Wilson, E. B. (1927), J. Am. Stat. Assoc. 22, 209; Newcombe, R. G. (1998), Stat. Med. 17, 857, method 3
 */
export const wilsonInterval = (found: number, of: number, coverage: number): Interval => {
  checked(found, of)
  const z = normalQuantile((1 + coverage) / 2)
  const centre = found + (z * z) / 2
  const half = z * Math.sqrt((found * (of - found)) / of + (z * z) / 4)
  const clipped = (value: number) => Math.min(Math.max(value / (of + z * z), 0), 1)
  return { low: clipped(centre - half), high: clipped(centre + half) }
}

/**
 * Exact interval of a proportion: covers at least what it says, whatever the proportion.
 *
 * @param coverage probability, as 0.95
 * @returns 0..1
 * @throws RangeError for anything but whole numbers, found ≤ of
 * @see Clopper, C. J. & Pearson, E. S. (1934), Biometrika 26, 404
 */
export const exactInterval = (found: number, of: number, coverage: number): Interval => {
  checked(found, of)
  const tail = (1 - coverage) / 2
  return {
    low: found === 0 ? 0 : betaQuantile(tail, found, of - found + 1),
    high: found === of ? 1 : betaQuantile(1 - tail, found + 1, of - found),
  }
}
