import { mean } from './spread.js'

/**
 * Slope of a line through points by ordinary least squares, every point of the same weight.
 *
 * @param x any unit
 * @param y same length as x, any unit
 * @returns unit of y per unit of x; NaN with fewer than two different x
 * @throws RangeError when x and y differ in length
 * @see GUM (JCGM 100:2008), H.3
 */
export const lineSlope = (x: ArrayLike<number>, y: ArrayLike<number>): number => {
  if (x.length !== y.length)
    throw new RangeError(`a line through ${x.length} x and ${y.length} y: give one y for each x`)
  const [meanX, meanY] = [mean(x), mean(y)]
  let xx = 0
  let xy = 0
  for (let i = 0; i < x.length; i++) {
    xx += (x[i]! - meanX) ** 2
    xy += (x[i]! - meanX) * (y[i]! - meanY)
  }
  return xy / xx
}
