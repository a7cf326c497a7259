/**
 * Correlation matrix of a budget's inputs.
 *
 * @param names of the inputs, in their order
 * @param given between inputs i and j; left out = independent
 * @param groups names of inputs that share one error; set on top of what is given
 * @throws RangeError for a matrix that is not of that size, not symmetric, or that no quantities can have
 */
export const correlationOf = (
  names: readonly string[],
  given?: readonly (readonly number[])[],
  groups: readonly (readonly string[])[] = [],
): Float64Array[] => {
  const size = names.length
  if (given && (given.length !== size || given.some(row => row.length !== size)))
    throw new RangeError(`the correlation of ${size} inputs: give ${size} rows of ${size} values`)
  const matrix = names.map((_, i) => Float64Array.from({ length: size }, (_, j) => given?.[i]?.[j] ?? Number(i === j)))
  for (const group of groups) {
    const members = group.map(name => {
      const at = names.indexOf(name)
      if (at < 0) throw new RangeError(`a group names "${name}", which is no input: use one of ${names.join(', ')}`)
      return at
    })
    for (const i of members) for (const j of members) matrix[i]![j] = 1
  }
  for (let i = 0; i < size; i++)
    for (let j = 0; j <= i; j++) {
      const value = matrix[i]![j]!
      if (!(Math.abs(value) <= 1) || value !== matrix[j]![i] || (i === j && value !== 1))
        throw new RangeError(
          `the correlation of "${names[i]}" and "${names[j]}" is ${value} one way, ${matrix[j]![i]} the other: give the same value from −1 to 1 both ways, and 1 with itself`,
        )
    }
  if (!possible(matrix))
    throw new RangeError('the correlations contradict each other: no quantities can have them all at once')
  return matrix
}

/** Rounding allowed, so that three digits of a published matrix still pass. */
const slack = 1e-9

/** Whether no combination of the inputs would have a variance below zero (elimination without pivots). */
const possible = (matrix: readonly Float64Array[]): boolean => {
  const left = matrix.map(row => row.slice())
  for (let k = 0; k < left.length; k++) {
    const pivot = left[k]![k]!
    if (pivot < -slack) return false
    for (let i = k + 1; i < left.length; i++) {
      const below = left[i]![k]!
      if (pivot <= slack) {
        if (Math.abs(below) > Math.sqrt(slack)) return false
        continue
      }
      for (let j = k + 1; j < left.length; j++) left[i]![j]! -= (below / pivot) * left[k]![j]!
    }
  }
  return true
}

/** Indices of the inputs, parted so that none is correlated with one of another part. */
export const kinOf = (correlation: readonly Float64Array[]): number[][] => {
  const parts: number[][] = []
  const seen = new Set<number>()
  for (let from = 0; from < correlation.length; from++) {
    if (seen.has(from)) continue
    seen.add(from)
    const part = [from]
    for (let at = 0; at < part.length; at++)
      correlation[part[at]!]!.forEach((value, j) => {
        if (value !== 0 && !seen.has(j)) {
          seen.add(j)
          part.push(j)
        }
      })
    parts.push(part)
  }
  return parts
}
