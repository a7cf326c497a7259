import { sameLength } from './same-length.js'

/** A straight line through points, intercept + slope · x. */
export interface LineFit {
  /** unit of y */
  intercept: number
  /** unit of y per unit of x */
  slope: number
  /** standard error of the intercept; NaN with two points */
  interceptError: number
  /** standard error of the slope; NaN with two points */
  slopeError: number
  /** correlation between intercept and slope, −1 to 1 */
  correlation: number
  /** standard deviation of the residuals, unit of y; NaN with two points */
  residualDeviation: number
  /** points less two */
  degreesOfFreedom: number
  /** part of the variance of y that the line explains, 0 to 1 */
  rSquared: number
}

/**
 * Ordinary least squares of a line, every point of the same weight.
 *
 * @param x any unit
 * @param y same length as x, any unit
 * @returns null with fewer than two different x
 * @throws RangeError when x and y differ in length
 * @see GUM (JCGM 100:2008), H.3
 */
export const fitLine = (x: ArrayLike<number>, y: ArrayLike<number>): LineFit | null => {
  const count = sameLength('a line', x, y)
  let meanX = 0
  let meanY = 0
  for (let i = 0; i < count; i++) {
    meanX += x[i]! / count
    meanY += y[i]! / count
  }
  let xx = 0
  let xy = 0
  let yy = 0
  for (let i = 0; i < count; i++) {
    xx += (x[i]! - meanX) ** 2
    xy += (x[i]! - meanX) * (y[i]! - meanY)
    yy += (y[i]! - meanY) ** 2
  }
  if (!(xx > 0)) return null
  const slope = xy / xx
  const intercept = meanY - slope * meanX
  let left = 0
  for (let i = 0; i < count; i++) left += (y[i]! - meanY - slope * (x[i]! - meanX)) ** 2
  const degreesOfFreedom = count - 2
  const residualDeviation = degreesOfFreedom > 0 ? Math.sqrt(left / degreesOfFreedom) : Number.NaN
  const centre = Math.sqrt(1 / count + meanX ** 2 / xx)
  return {
    intercept,
    slope,
    interceptError: residualDeviation * centre,
    slopeError: residualDeviation / Math.sqrt(xx),
    correlation: -meanX / (centre * Math.sqrt(xx)),
    residualDeviation,
    degreesOfFreedom,
    rSquared: yy > 0 ? 1 - left / yy : 1,
  }
}

/**
 * Value of a fitted line and its standard uncertainty (that of the line, not of a further point).
 *
 * @param at x, in the unit of the fit
 * @see GUM (JCGM 100:2008), H.3.4
 */
export const onLine = (
  { intercept, slope, interceptError, slopeError, correlation }: LineFit,
  at: number,
): { value: number; standardUncertainty: number } => {
  const spread = at * slopeError
  return {
    value: intercept + slope * at,
    standardUncertainty: Math.sqrt(interceptError ** 2 + spread ** 2 + 2 * correlation * interceptError * spread),
  }
}
