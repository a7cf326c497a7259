/** A matrix factored as Q·R by Householder reflections, its columns scaled to length one first. */
export interface Factored {
  rows: number
  columns: number
  /** column by column: R above and on the diagonal, the reflections below it */
  packed: Float64Array
  /** what each reflection is divided by; 0 where there is none */
  divisor: Float64Array
  /** length of each column before it was scaled */
  scale: Float64Array
}

/**
 * Factors a matrix of at least as many rows as columns.
 *
 * @param matrix row by row, every row of the same length
 * @returns null when the columns depend on each other, as far as double precision can tell
 * @throws RangeError when there are fewer rows than columns or a row has another length
 * @see Golub & Van Loan, Matrix Computations, section 5.2
 */
export const factor = (matrix: readonly ArrayLike<number>[]): Factored | null => {
  const rows = matrix.length
  const columns = matrix[0]?.length ?? 0
  if (columns === 0 || rows < columns)
    throw new RangeError(`a least-squares problem of ${rows} rows and ${columns} columns: give more rows than columns`)
  const packed = new Float64Array(rows * columns)
  const scale = new Float64Array(columns)
  matrix.forEach((row, i) => {
    if (row.length !== columns)
      throw new RangeError(
        `row ${i} has ${row.length} values, the first row ${columns}: give every row the same length`,
      )
    for (let j = 0; j < columns; j++) packed[j * rows + i] = row[j]!
  })
  for (let j = 0; j < columns; j++) {
    const column = packed.subarray(j * rows, (j + 1) * rows)
    const length = lengthOf(column)
    if (!(length > 0) || !Number.isFinite(length)) return null
    scale[j] = length
    for (let i = 0; i < rows; i++) column[i]! /= length
  }
  const divisor = new Float64Array(columns)
  for (let j = 0; j < columns; j++) {
    const column = packed.subarray(j * rows, (j + 1) * rows)
    const length = lengthOf(column.subarray(j))
    if (length <= rows * columns * Number.EPSILON) return null
    const diagonal = column[j]! > 0 ? -length : length
    column[j]! -= diagonal
    divisor[j] = -diagonal * column[j]!
    for (let k = j + 1; k < columns; k++) reflect(column, packed.subarray(k * rows, (k + 1) * rows), j, divisor[j]!)
    // the reflection's first entry is kept apart: it shares its place with the diagonal of R
    divisor[j] = column[j]!
    column[j] = diagonal
  }
  return { rows, columns, packed, divisor, scale }
}

const lengthOf = (vector: Float64Array): number => {
  let sum = 0
  for (const value of vector) sum += value * value
  return Math.sqrt(sum)
}

const reflect = (by: Float64Array, vector: Float64Array, from: number, divisor: number): void => {
  let along = 0
  for (let i = from; i < by.length; i++) along += by[i]! * vector[i]!
  along /= divisor
  for (let i = from; i < by.length; i++) vector[i]! -= along * by[i]!
}

/** Coefficients that bring the factored matrix nearest to `right`. */
export const solve = (of: Factored, right: ArrayLike<number>): Float64Array => {
  const { rows, columns, packed, divisor, scale } = of
  const vector = Float64Array.from(right)
  for (let j = 0; j < columns; j++) {
    const column = packed.slice(j * rows, (j + 1) * rows)
    const diagonal = column[j]!
    column[j] = divisor[j]!
    reflect(column, vector, j, -diagonal * divisor[j]!)
  }
  const solution = new Float64Array(columns)
  for (let j = columns - 1; j >= 0; j--) {
    let rest = vector[j]!
    for (let k = j + 1; k < columns; k++) rest -= packed[k * rows + j]! * solution[k]!
    solution[j] = rest / packed[j * rows + j]!
  }
  for (let j = 0; j < columns; j++) solution[j]! /= scale[j]!
  return solution
}

/** Inverse of (matrix transposed × matrix): the covariance of the coefficients for residuals of variance one. */
export const inverseOfProduct = ({ rows, columns, packed, scale }: Factored): Float64Array[] => {
  const inverse = Array.from({ length: columns }, () => new Float64Array(columns))
  for (let k = 0; k < columns; k++)
    for (let j = k; j >= 0; j--) {
      let rest = j === k ? 1 : 0
      for (let m = j + 1; m <= k; m++) rest -= packed[m * rows + j]! * inverse[m]![k]!
      inverse[j]![k] = rest / packed[j * rows + j]!
    }
  return inverse.map((row, i) =>
    Float64Array.from(inverse, (other, j) => {
      let product = 0
      for (let k = Math.max(i, j); k < columns; k++) product += row[k]! * other[k]!
      return product / scale[i]! / scale[j]!
    }),
  )
}
