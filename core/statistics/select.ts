/**
 * The value that would have a rank if the numbers were sorted. Reorders them: none before that rank is larger
 * than the one there, none after it smaller.
 *
 * @param values not NaN
 * @param rank 0 for the smallest
 * @returns unit of the values
 * @see Hoare, C. A. R. (1961), Algorithm 65: Find, Communications of the ACM 4, 321
 */
export const select = (values: Float64Array, rank: number): number => {
  let low = 0
  let high = values.length - 1
  while (low < high) {
    const pivot = middleOf(values[low]!, values[(low + high) >> 1]!, values[high]!)
    let i = low
    let j = high
    while (i <= j) {
      while (values[i]! < pivot) i++
      while (values[j]! > pivot) j--
      if (i > j) break
      const other = values[i]!
      values[i++] = values[j]!
      values[j--] = other
    }
    // what lies between the two equals the pivot
    if (rank <= j) high = j
    else if (rank >= i) low = i
    else return pivot
  }
  return values[rank]!
}

/** Of three: sorted and evenly rising numbers, the usual ones here, are then halved each time. */
const middleOf = (a: number, b: number, c: number): number => Math.max(Math.min(a, b), Math.min(Math.max(a, b), c))
