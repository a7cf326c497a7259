import { type CurveFit, fitCurve } from './fit-curve.js'
import { sameLength } from './same-length.js'

/**
 * First-order rise from zero, y = level · (1 − e^(−rate · x)): the curve of a node that settles after a step.
 *
 * @param x time, s, or any unit
 * @param level approached, unit of y
 * @param rate 1 / time constant, per unit of x
 */
export const exponentialRise = (x: number, level: number, rate: number): number => -level * Math.expm1(-rate * x)

export interface RiseFit {
  level: number
  rate: number
  levelError: number
  rateError: number
  /** unit of y, squared */
  residualSumOfSquares: number
  degreesOfFreedom: number
  /** standard deviation of the residuals, unit of y */
  residualDeviation: number
  converged: boolean
}

const curve = (x: number, [level, rate]: Float64Array, gradient: Float64Array): number => {
  const left = Math.exp(-rate! * x)
  gradient[0] = -Math.expm1(-rate! * x)
  gradient[1] = level! * x * left
  return level! * gradient[0]
}

/** The level that fits best at a rate, and the sum of squares it leaves. */
const levelAt = (x: ArrayLike<number>, y: ArrayLike<number>, rate: number) => {
  let along = 0
  let length = 0
  for (let i = 0; i < x.length; i++) {
    const covered = exponentialRise(x[i]!, 1, rate)
    along += covered * y[i]!
    length += covered ** 2
  }
  const level = along / length
  let left = 0
  for (let i = 0; i < x.length; i++) left += (y[i]! - exponentialRise(x[i]!, level, rate)) ** 2
  return { level, left }
}

/** Without a first guess: the best of sixty rates, from a hundredth of the data's length to a hundred times it. */
const guess = (x: ArrayLike<number>, y: ArrayLike<number>): number => {
  let span = 0
  for (let i = 0; i < x.length; i++) span = Math.max(span, Math.abs(x[i]!))
  let best = Number.NaN
  let least = Number.POSITIVE_INFINITY
  for (let k = 0; k <= 60; k++) {
    const rate = 10 ** (k / 15 - 2) / span
    const { left } = levelAt(x, y, rate)
    if (left < least) {
      least = left
      best = rate
    }
  }
  return best
}

/**
 * Fits a first-order rise from zero. The curve is linear in its level, so the fit begins at the level that is best for
 * the first rate; begun at any level, it can leap to a rate at which nothing depends on the rate any more.
 *
 * @param x time, s, or any unit
 * @param y same length as x, any unit
 * @param start first guess of the rate; found from the data when left out
 * @returns level, rate and their standard errors; null when the data do not determine them
 * @throws RangeError when x and y differ in length or hold fewer than two points
 * @see NIST StRD, Misra1a and BoxBOD, which are this curve
 */
export const fitExponentialRise = (x: ArrayLike<number>, y: ArrayLike<number>, start?: number): RiseFit | null => {
  sameLength('an exponential rise', x, y)
  const rate = start ?? guess(x, y)
  const fit = fitCurve(curve, x, y, [levelAt(x, y, rate).level, rate])
  return fit && named(fit)
}

const named = ({ coefficients, standardErrors, ...rest }: CurveFit): RiseFit => ({
  level: coefficients[0]!,
  rate: coefficients[1]!,
  levelError: standardErrors[0]!,
  rateError: standardErrors[1]!,
  residualSumOfSquares: rest.residualSumOfSquares,
  degreesOfFreedom: rest.degreesOfFreedom,
  residualDeviation: rest.residualDeviation,
  converged: rest.converged,
})
