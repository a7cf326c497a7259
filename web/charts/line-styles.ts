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

/** The style of what is drawn in the colour of a line; its rule has it as `var(--line)`. */
export const lineColour = (style: number) => ({ '--line': `var(--line-${style % lineColours})` })
