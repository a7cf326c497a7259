/** One line of the report. */
export interface Row {
  what: string
  /** ours; what stands beside it, where there is something; and their ratio */
  ours: string
  beside: string
  ratio: string
  aim: string
}

export const median = (all: readonly number[]): number => {
  const sorted = [...all].sort((a, b) => a - b)
  const half = sorted.length >> 1
  if (sorted.length === 0) return Number.NaN
  return sorted.length % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2
}

/** "38.1k (31–40k)": the median, and the least and the most */
export const medianAndSpan = (all: readonly number[], shown: (value: number) => string): string =>
  `${shown(median(all))} (${shown(Math.min(...all))} to ${shown(Math.max(...all))})`

/** As Markdown, so that it can be shown where the project is described. */
export const asTable = (rows: readonly Row[]): string => {
  const heading: Row = { what: 'what', ours: 'the service', beside: 'beside it', ratio: 'ratio', aim: 'aim' }
  const cells = [heading, ...rows].map(row => [row.what, row.ours, row.beside, row.ratio, row.aim])
  const widths = cells[0]!.map((_, column) => Math.max(...cells.map(row => row[column]!.length)))
  const line = (row: readonly string[]) => `| ${row.map((cell, column) => cell.padEnd(widths[column]!)).join(' | ')} |`
  const [head, ...rest] = cells.map(line)
  return [head, `|${widths.map(width => '-'.repeat(width + 2)).join('|')}|`, ...rest].join('\n')
}
