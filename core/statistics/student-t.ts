/**
 * Student's distribution, for coverage factors and confidence.
 */
import { incompleteBeta } from './beta.js'
import { normalQuantile } from './normal.js'

const needed = (degreesOfFreedom: number): void => {
  if (!(degreesOfFreedom > 0))
    throw new RangeError(`${degreesOfFreedom} degrees of freedom: Student's distribution needs more than none`)
}

/**
 * Probability of a value further from zero than `t`, both sides together.
 *
 * @param t without unit; its sign does not matter
 * @param degreesOfFreedom more than 0, whole or not, finite
 * @returns 0..1; NaN for a t that is not a number
 * @throws RangeError for no degrees of freedom
 * @see Abramowitz & Stegun 26.7.1; DLMF 8.17
 */
const studentBeyond = (t: number, degreesOfFreedom: number): number => {
  needed(degreesOfFreedom)
  if (!Number.isFinite(t)) return Number.isNaN(t) ? Number.NaN : 0
  const square = t * t
  const sum = degreesOfFreedom + square
  if (!Number.isFinite(sum)) return incompleteBeta(degreesOfFreedom / square, 1, degreesOfFreedom / 2, 0.5)
  return incompleteBeta(degreesOfFreedom / sum, square / sum, degreesOfFreedom / 2, 0.5)
}

/**
 * degrees of freedom; above, the expansion about the normal distribution is exact to rounding, and the beta function is
 * not
 */
const nearlyNormal = 2000

/** Cornish–Fisher expansion about the normal quantile z, Abramowitz & Stegun 26.7.5. */
const expanded = (z: number, n: number): number => {
  const s = z * z
  return (
    z +
    (z * (s + 1)) / (4 * n) +
    (z * (5 * s * s + 16 * s + 3)) / (96 * n ** 2) +
    (z * (3 * s ** 3 + 19 * s * s + 17 * s - 15)) / (384 * n ** 3)
  )
}

/**
 * Factor that covers a probability, symmetric about zero: ±t holds `coverage` of Student's distribution.
 *
 * @param coverage probability between 0 and 1, as 0.95
 * @param degreesOfFreedom more than 0, whole or not; Infinity for the normal distribution
 * @returns t, without unit
 * @throws RangeError for a probability outside 0 to 1, or no degrees of freedom
 * @see GUM (JCGM 100:2008), G.3 and table G.2
 */
export const studentFactor = (coverage: number, degreesOfFreedom: number): number => {
  needed(degreesOfFreedom)
  if (!(coverage >= 0 && coverage < 1))
    throw new RangeError(`a coverage of ${coverage}: give a probability from 0 up to, not including, 1, as 0.95`)
  if (coverage === 0) return 0
  const z = normalQuantile((1 + coverage) / 2)
  if (degreesOfFreedom > nearlyNormal) return Number.isFinite(degreesOfFreedom) ? expanded(z, degreesOfFreedom) : z
  // logarithm of t between two that hold it, by halving: the tails of few degrees of freedom are very long
  const beyond = 1 - coverage
  let low = Math.log(z)
  let high = low + 1
  while (studentBeyond(Math.exp(low), degreesOfFreedom) < beyond) low -= 1
  while (studentBeyond(Math.exp(high), degreesOfFreedom) > beyond) high += high - low
  for (let n = 0; n < 200 && high - low > 4e-16 * Math.max(1, Math.abs(low)); n++) {
    const middle = (low + high) / 2
    if (middle === low || middle === high) break
    if (studentBeyond(Math.exp(middle), degreesOfFreedom) > beyond) low = middle
    else high = middle
  }
  return Math.exp((low + high) / 2)
}
