/** The gamma and beta functions, on which Student's, the binomial and the hypergeometric distribution stand. */

/** Lanczos' coefficients for g = 7, nine terms. */
const lanczos = [
  0.9999999999998099, 676.5203681218851, -1259.1392167224028, 771.3234287776531, -176.6150291621406, 12.507343278686905,
  -0.13857109526572012, 0.000009984369578019572, 1.5056327351493116e-7,
]

/**
 * Natural logarithm of the gamma function.
 *
 * @param x above 0
 * @see Lanczos, C. (1964), J. SIAM Numer. Anal. B 1, 86
 */
export const logGamma = (x: number): number => {
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
 *
 * @param x    0..1
 * @param rest 1 − x
 * @param a    above 0
 * @param b    above 0
 * @returns 0..1
 * @see DLMF 8.17
 */
export const incompleteBeta = (x: number, rest: number, a: number, b: number): number => {
  if (x <= 0) return 0
  if (rest <= 0) return 1
  const front = Math.exp(logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log(rest))
  return x < (a + 1) / (a + b + 2) ? (front * fraction(x, a, b)) / a : 1 - (front * fraction(rest, b, a)) / b
}
