/**
 * Number of pairs.
 *
 * @param of what they are for, named in the error
 * @throws RangeError when x and y differ in length
 */
export const sameLength = (of: string, x: ArrayLike<number>, y: ArrayLike<number>): number => {
  if (x.length !== y.length)
    throw new RangeError(`${of} through ${x.length} x and ${y.length} y: give one y for each x`)
  return x.length
}
