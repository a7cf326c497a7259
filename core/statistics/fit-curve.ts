import { type LeastSquaresFit, scatter } from './least-squares.js'
import { factor, inverseOfProduct, solve } from './qr.js'
import { sameLength } from './same-length.js'

/** Value of a curve at x; writes its derivatives by each parameter into `gradient`. */
export type Curve = (x: number, parameters: Float64Array, gradient: Float64Array) => number

export interface CurveFit extends LeastSquaresFit {
  /** whether the residuals stand at right angles to every derivative: a minimum, if not always the lowest */
  converged: boolean
}

const steps = 500
/** cosine of the angle between residuals and a derivative, below which the fit counts as converged */
const rightAngle = 1e-6

/**
 * Nonlinear least squares by Levenberg and Marquardt, every value of the same weight. A step is only taken when it
 * lowers the sum of squares, so the fit is never worse than its start; it can still end in another minimum than the
 * lowest, or on a plateau (`converged` tells), when the start is far off.
 *
 * @param curve to fit, with its derivatives
 * @param x any unit
 * @param y same length as x, any unit
 * @param start first guess of the parameters
 * @returns null when the curve has no finite value or no independent derivatives at the end of the fit; standard errors
 *   from the curve's derivatives there
 * @throws RangeError when x and y differ in length or are fewer than the parameters
 * @see Marquardt, D. W. (1963), J. SIAM 11, 431
 */
export const fitCurve = (
  curve: Curve,
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  start: ArrayLike<number>,
): CurveFit | null => {
  const count = sameLength('a curve', x, y)
  const size = start.length
  if (count < size) throw new RangeError(`a curve of ${size} parameters through ${count} points: give at least ${size}`)
  let total = 0
  for (let i = 0; i < count; i++) total += y[i]! ** 2
  let at = look(curve, x, y, Float64Array.from(start))
  let damping = 1e-3
  for (let step = 0; step < steps && Number.isFinite(at.sum) && at.sum > 0; step++) {
    const tried = take(curve, x, y, at, damping)
    if (tried === null || !(tried.sum < at.sum)) {
      damping *= 4
      if (damping > 1e20) break
      continue
    }
    at = tried
    damping = Math.max(damping / 9, 1e-12)
  }
  const factored = Number.isFinite(at.sum) ? factor(at.derivatives) : null
  if (!factored) return null
  return {
    coefficients: at.parameters,
    residualSumOfSquares: at.sum,
    ...scatter(inverseOfProduct(factored), at.sum, count - size),
    converged: at.sum <= total * Number.EPSILON ** 2 || slant(at) < rightAngle,
  }
}

interface Place {
  parameters: Float64Array
  residuals: Float64Array
  /** one row a value */
  derivatives: Float64Array[]
  sum: number
}

const look = (curve: Curve, x: ArrayLike<number>, y: ArrayLike<number>, parameters: Float64Array): Place => {
  const derivatives: Float64Array[] = []
  const residuals = new Float64Array(x.length)
  let sum = 0
  for (let i = 0; i < x.length; i++) {
    const gradient = new Float64Array(parameters.length)
    residuals[i] = y[i]! - curve(x[i]!, parameters, gradient)
    derivatives.push(gradient)
    sum += residuals[i]! ** 2
  }
  return { parameters, residuals, derivatives, sum }
}

/** The place one damped step further; null when there is none. */
const take = (curve: Curve, x: ArrayLike<number>, y: ArrayLike<number>, at: Place, damping: number): Place | null => {
  const size = at.parameters.length
  const held = Array.from({ length: size }, (_, j) => {
    const row = new Float64Array(size)
    let length = 0
    for (const gradient of at.derivatives) length += gradient[j]! ** 2
    row[j] = Math.sqrt(damping * length)
    return row
  })
  const factored = factor(at.derivatives.concat(held))
  if (!factored) return null
  const right = new Float64Array(x.length + size)
  right.set(at.residuals)
  const step = solve(factored, right)
  return look(
    curve,
    x,
    y,
    at.parameters.map((value, j) => value + step[j]!),
  )
}

/** Largest cosine of the angle between the residuals and a derivative. */
const slant = ({ residuals, derivatives, sum }: Place): number => {
  let largest = 0
  for (let j = 0; j < (derivatives[0]?.length ?? 0); j++) {
    let along = 0
    let length = 0
    derivatives.forEach((gradient, i) => {
      along += gradient[j]! * residuals[i]!
      length += gradient[j]! ** 2
    })
    largest = Math.max(largest, Math.abs(along) / Math.sqrt(length * sum))
  }
  return largest
}
