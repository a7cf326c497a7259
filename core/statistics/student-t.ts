/**
 * Student's distribution, for coverage factors and confidence.
 */
import { normalQuantile } from './normal.js'

/** Lanczos' coefficients for g = 7, nine terms. */
const lanczos = [
  0.9999999999998099, 676.5203681218851, -1259.1392167224028, 771.3234287776531, -176.6150291621406, 12.507343278686905,
  -0.13857109526572012, 0.000009984369578019572, 1.5056327351493116e-7,
]

/** Logarithm of the gamma function, x > 0. */
const logGamma = (x: number): number => {
  if (x < 0.5) return Math.log(Math.PI / Math.sin(Math.PI * x)) - logGamma(1 - x)
  let sum = lanczos[0]!
  for (let k = 1; k < lanczos.length; k++) sum += lanczos[k]! / (x - 1 + k)
  const t = x + 6.5
  return 0.5 * Math.log(2 * Math.PI) + (x - 0.5) * Math.log(t) - t + Math.log(sum)
}

/** Continued fraction of the incomplete beta function, by Lentz's method (DLMF 8.17.22). */
const fraction = (x: number, a: number, b: number): number => {
  const tiny = 1e-300
  const held = (value: number) => (Math.abs(value) < tiny ? tiny : value)
  let c = 1
  let d = 1 / held(1 - ((a + b) * x) / (a + 1))
  let result = d
  for (let m = 1; m < 10_000; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m))
    d = 1 / held(1 + even * d)
    c = held(1 + even / c)
    result *= d * c
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1))
    d = 1 / held(1 + odd * d)
    c = held(1 + odd / c)
    result *= d * c
    if (Math.abs(d * c - 1) < 1e-16) break
  }
  return result
}

/**
 * Regularised incomplete beta function, with 1 − x given apart so that nothing is lost near x = 1.
 */
const incompleteBeta = (x: number, rest: number, a: number, b: number): number => {
  if (x <= 0) return 0
  if (rest <= 0) return 1
  const front = Math.exp(logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log(rest))
  return x < (a + 1) / (a + b + 2) ? (front * fraction(x, a, b)) / a : 1 - (front * fraction(rest, b, a)) / b
}

const needed = (degreesOfFreedom: number): void => {
  if (!(degreesOfFreedom > 0))
    throw new RangeError(`${degreesOfFreedom} degrees of freedom: Student's distribution needs more than none`)
}

/**
 * Probability of a value further from zero than `t`, both sides together.
 *
 * @param t without unit; its sign does not matter
 * @param degreesOfFreedom more than 0, whole or not, finite
 * @see Abramowitz & Stegun 26.7.1; DLMF 8.17
 */
export const studentBeyond = (t: number, degreesOfFreedom: number): number => {
  needed(degreesOfFreedom)
  if (!Number.isFinite(t)) return Number.isNaN(t) ? Number.NaN : 0
  const square = t * t
  const sum = degreesOfFreedom + square
  if (!Number.isFinite(sum)) return incompleteBeta(degreesOfFreedom / square, 1, degreesOfFreedom / 2, 0.5)
  return incompleteBeta(degreesOfFreedom / sum, square / sum, degreesOfFreedom / 2, 0.5)
}

/** Above it the expansion about the normal distribution is exact to rounding, and the beta function is not. */
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
