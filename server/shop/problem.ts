/** One mistake in a shop file. */
export interface ShopProblem {
  file: string
  /** counted from 1; null when the problem is the file as a whole */
  line: number | null
  column: number | null
  /** keys from the top of the file down: ["machines", "mill-1", "axes", "X", "travel"]; empty for the whole file */
  path: string[]
  /** what is wrong */
  what: string
  /** what would be right */
  remedy: string
}

const described = ({ line, column, path, what, remedy }: ShopProblem) => {
  const place = [line === null ? null : `line ${line}, column ${column}`, path.length > 0 ? path.join(' › ') : null]
  const head = place.filter(part => part !== null).join(': ')
  return [...(head === '' ? [] : [`  ${head}`]), `      ${what}`, `      → ${remedy}`].join('\n')
}

/**
 * The mistakes of a shop file for a terminal: how many, then each with its place, what is wrong and what would be right.
 *
 * @param problems as `parseShop` or `readShop` returns them; an empty list gives an empty text
 */
export const describeProblems = (problems: readonly ShopProblem[]): string => {
  const [first] = problems
  if (!first) return ''
  const count = problems.length === 1 ? 'one problem' : `${problems.length} problems`
  return [`The shop file ${first.file} has ${count}:`, ...problems.map(described)].join('\n\n')
}
