/** Lines are told apart by their dashes as well as by colour. */
export const dashes: readonly (readonly number[])[] = [
  [],
  [7, 4],
  [2, 3],
  [12, 4, 2, 4],
  [],
  [7, 4],
  [2, 3],
  [12, 4, 2, 4],
]
export const lineColours = 8
