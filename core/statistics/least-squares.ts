import { factor, inverseOfProduct, solve } from './qr.js'

export interface LeastSquaresFit {
  coefficients: Float64Array
  /** covariance of coefficients i and j, unit of the one times unit of the other; NaN without degrees of freedom */
  covariance: Float64Array[]
  /** standard errors of the coefficients, in their units */
  standardErrors: Float64Array
  /** unit of y, squared */
  residualSumOfSquares: number
  /** values less coefficients */
  degreesOfFreedom: number
  /** standard deviation of the residuals, unit of y */
  residualDeviation: number
}

/**
 * Linear least squares, y ≈ Σ coefficient · column, every value of the same weight.
 *
 * @param rows one row a value; a column of ones gives a constant
 * @param y as many values as rows, any unit
 * @returns null when the rows do not determine the coefficients (columns that depend on each other)
 * @throws RangeError when rows and values do not match, or are fewer than the coefficients
 * @see Golub & Van Loan, Matrix Computations, section 5.3 (QR); GUM H.3 for the covariance
 */
export const leastSquares = (rows: readonly ArrayLike<number>[], y: ArrayLike<number>): LeastSquaresFit | null => {
  if (rows.length !== y.length)
    throw new RangeError(`least squares of ${y.length} values over ${rows.length} rows: give one row for each value`)
  const factored = factor(rows)
  if (!factored) return null
  const coefficients = solve(factored, y)
  let residualSumOfSquares = 0
  rows.forEach((row, i) => {
    let residual = y[i]!
    for (let j = 0; j < coefficients.length; j++) residual -= row[j]! * coefficients[j]!
    residualSumOfSquares += residual ** 2
  })
  return {
    coefficients,
    residualSumOfSquares,
    ...scatter(inverseOfProduct(factored), residualSumOfSquares, rows.length - coefficients.length),
  }
}

/** What the residuals say about the coefficients. */
export const scatter = (inverse: readonly Float64Array[], residualSumOfSquares: number, degreesOfFreedom: number) => {
  const variance = degreesOfFreedom > 0 ? residualSumOfSquares / degreesOfFreedom : Number.NaN
  const covariance = inverse.map(row => row.map(value => value * variance))
  return {
    covariance,
    standardErrors: Float64Array.from(covariance, (row, i) => Math.sqrt(row[i]!)),
    degreesOfFreedom,
    residualDeviation: Math.sqrt(variance),
  }
}
