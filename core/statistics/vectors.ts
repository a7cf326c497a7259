/** Sum of the products of two lists of one length, in the product of their units. */
export const dot = (a: ArrayLike<number>, b: ArrayLike<number>): number => {
  let sum = 0
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!
  return sum
}

/**
 * Takes the part along a unit vector out of another vector, in place.
 *
 * @returns how long that part was, in the unit of the vector
 */
export const takeOut = (unit: Float64Array, from: Float64Array): number => {
  const along = dot(unit, from)
  for (let i = 0; i < from.length; i++) from[i]! -= along * unit[i]!
  return along
}
