import { dot, takeOut } from './vectors.js'

/** A linear fit: what each column is multiplied with, what is left, and how well each factor is known. */
export interface LinearFit {
  coefficients: number[]
  /** observation minus fit, unit of the observations */
  residuals: Float64Array
  /** sum of squared residuals */
  squares: number
  /** (AᵀA)⁻¹: times the variance of one observation it is the covariance of the coefficients */
  inverse: number[][]
}

/**
 * Linear least squares by an orthogonal decomposition: columns are made orthogonal one after another, the observations
 * last (modified Gram–Schmidt, which is as steady as Householder's when the observations are carried along).
 *
 * @param columns of the matrix A, each as long as the observations
 * @returns null when a column hardly differs from a combination of the others, or there are fewer observations than columns
 * @see Björck, Å. (1967), BIT 7, 1
 */
export const linearFit = (columns: readonly Float64Array[], observations: ArrayLike<number>): LinearFit | null => {
  const n = columns.length
  const rows = observations.length
  if (rows < n) return null
  const q = columns.map(column => Float64Array.from(column))
  const residuals = Float64Array.from(observations)
  const r = q.map(() => new Float64Array(n))
  const z = new Float64Array(n)
  for (let k = 0; k < n; k++) {
    const column = q[k]!
    const norm = Math.sqrt(dot(column, column))
    if (!(norm > 1e-11 * Math.sqrt(dot(columns[k]!, columns[k]!)))) return null
    r[k]![k] = norm
    for (let i = 0; i < rows; i++) column[i]! /= norm
    for (let j = k + 1; j < n; j++) r[k]![j] = takeOut(column, q[j]!)
    z[k] = takeOut(column, residuals)
  }
  // upper triangle, from below
  const solved = (right: ArrayLike<number>): number[] => {
    const x = new Array<number>(n).fill(0)
    for (let i = n - 1; i >= 0; i--) {
      let sum = right[i]!
      for (let j = i + 1; j < n; j++) sum -= r[i]![j]! * x[j]!
      x[i] = sum / r[i]![i]!
    }
    return x
  }
  const inverseTriangle = q.map((_, k) => solved(q.map((_, i) => (i === k ? 1 : 0))))
  const inverse = q.map((_, i) =>
    q.map((_, k) => inverseTriangle.reduce((sum, column) => sum + column[i]! * column[k]!, 0)),
  )
  return { coefficients: solved(z), residuals, squares: dot(residuals, residuals), inverse }
}
