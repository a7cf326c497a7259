// Figures of courses in which NaN stands for what is not known: it is left out.

/** The values that are known, in their order. */
export const known = (values: ArrayLike<number>): number[] => Array.from(values).filter(value => !Number.isNaN(value))

/** Mean from an index on, in the unit of the values; NaN where nothing is known. */
export const meanOf = (values: ArrayLike<number>, begin = 0): number => {
  let [count, sum] = [0, 0]
  for (let i = begin; i < values.length; i++)
    if (!Number.isNaN(values[i]!)) {
      count += 1
      sum += values[i]!
    }
  return sum / count
}

/** Variance (divided by how many are known), in the squared unit of the values; NaN where nothing is known. */
export const varianceOf = (values: ArrayLike<number>): number => {
  const middle = meanOf(values)
  return meanOf(Float64Array.from(values, value => (value - middle) ** 2))
}

/** How much of a deviation from 0 is left one interval later, by least squares over the pairs that are known; 0 for none. */
export const memoryOf = (deviations: Float64Array): number => {
  let [together, squares] = [0, 0]
  for (let i = 1; i < deviations.length; i++) {
    const product = deviations[i]! * deviations[i - 1]!
    if (Number.isNaN(product)) continue
    together += product
    squares += deviations[i - 1]! ** 2
  }
  return squares > 0 ? together / squares : 0
}
