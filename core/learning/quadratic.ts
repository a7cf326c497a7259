/**
 * Inverse of a symmetric positive definite matrix, by its Cholesky factor.
 *
 * @param matrix rows, n × n
 * @returns rows, n × n
 * @throws RangeError when it is not positive definite
 * @see Golub & Van Loan, Matrix Computations, section 4.2
 */
export const inverse = (matrix: readonly (readonly number[])[]): number[][] => {
  const n = matrix.length
  const lower = matrix.map(() => new Array<number>(n).fill(0))
  for (let i = 0; i < n; i++)
    for (let k = 0; k <= i; k++) {
      let sum = matrix[i]![k]!
      for (let j = 0; j < k; j++) sum -= lower[i]![j]! * lower[k]![j]!
      if (i === k && !(sum > 0)) throw new RangeError('the matrix is not positive definite')
      lower[i]![k] = i === k ? Math.sqrt(sum) : sum / lower[k]![k]!
    }
  const result = matrix.map(() => new Array<number>(n).fill(0))
  for (let column = 0; column < n; column++) {
    const x = new Array<number>(n).fill(0)
    for (let i = 0; i < n; i++) {
      let sum = i === column ? 1 : 0
      for (let j = 0; j < i; j++) sum -= lower[i]![j]! * x[j]!
      x[i] = sum / lower[i]![i]!
    }
    for (let i = n - 1; i >= 0; i--) {
      let sum = x[i]!
      for (let j = i + 1; j < n; j++) sum -= lower[j]![i]! * x[j]!
      x[i] = sum / lower[i]![i]!
      result[i]![column] = x[i]!
    }
  }
  return result
}

/**
 * Minimum of ½·xᵀAx − bᵀx with every x between its bounds, one coordinate after another until nothing moves: for a
 * positive definite A this finds the one minimum there is.
 *
 * @param matrix A, n × n, symmetric
 * @param right  b, of length n
 * @param low    least of each x
 * @param high   most of each x
 * @returns x, of length n
 * @see Luenberger & Ye, Linear and Nonlinear Programming, coordinate descent
 */
export const boundedMinimum = (
  matrix: readonly (readonly number[])[],
  right: readonly number[],
  low: readonly number[],
  high: readonly number[],
): number[] => {
  const x = right.map((_, i) => Math.min(Math.max(0, low[i]!), high[i]!))
  for (let round = 0; round < 10_000; round++) {
    let moved = 0
    for (let i = 0; i < x.length; i++) {
      let slope = right[i]!
      for (let k = 0; k < x.length; k++) if (k !== i) slope -= matrix[i]![k]! * x[k]!
      const next = Math.min(Math.max(slope / matrix[i]![i]!, low[i]!), high[i]!)
      moved = Math.max(moved, Math.abs(next - x[i]!))
      x[i] = next
    }
    if (moved < 1e-12) break
  }
  return x
}
