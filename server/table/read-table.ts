import { parseLength } from '../../core/units.js'
import { cellsOf, type Delimiter, delimiterOf } from './lines.js'

/** A row of a table that somebody sent: its cells by column, and its line in the text. */
export interface TableRow {
  line: number
  cells: Record<string, string>
  /** unit given in the column's heading, by column */
  units: Record<string, string>
  /** cells are not separated by commas, so that a comma within a number is a decimal one */
  decimalComma?: true
}

/** Cells as somebody typed them one by one. @param line 0 for those of a single thing */
export const typedRow = (cells: Record<string, string>, line = 0): TableRow => ({
  line,
  units: {},
  cells,
  decimalComma: true,
})

/** what is wrong in a table, and what would be right */
export interface TableFault {
  /** of the text, counted from 1; 0 for the table as a whole */
  line: number
  problem: string
  remedy: string
}

const mostRows = 20_000

/** "Value (µm)" → value and µm */
const heading = (cell: string): { name: string; unit: string } => {
  const text = cell.trim()
  const [name = ''] = /^[a-z]+/i.exec(text) ?? []
  const unit = text.slice(name.length).replace(/^[\s([,:/]+/, '')
  let end = unit.length
  while (end > 0 && /[\s)\]]/.test(unit[end - 1]!)) end -= 1
  return { name: name.toLowerCase(), unit: unit.slice(0, end) }
}

/**
 * Reads a table from CSV text: comma, semicolon or tab between cells, headings in the first line, in any order, each
 * with a unit if wanted: `value (µm)`. A line a step.
 *
 * @param columns   names of headings that are understood
 * @param mandatory those that must be there
 * @param bad       told of each row that is none, which is left out; without it, the first one is the table's fault
 * @returns rows, or the first thing that keeps the text from being a table
 */
export function* readingRows(
  text: string,
  columns: readonly string[],
  mandatory: readonly string[],
  bad?: (fault: TableFault) => void,
): Generator<void, { rows: TableRow[] } | { fault: TableFault }> {
  const wrong = (line: number, problem: string, remedy: string) => ({ fault: { line, problem, remedy } })
  const example = `begin with a line of headings: ${columns.join(', ')}; a unit may stand behind a heading: value (µm)`
  let headings: { name: string; unit: string }[] | null = null
  let units: Record<string, string> = {}
  let delimiter: Delimiter | null = null
  let refused = false
  const rows: TableRow[] = []
  for (const [index, written] of text
    .replace(/^\uFEFF/, '')
    .split(/\r\n|\n|\r/)
    .entries()) {
    yield
    const line = index + 1
    if (!headings) delimiter = delimiterOf(written)
    const cells = cellsOf(written, delimiter)
    if (!cells) {
      const none = wrong(
        line,
        'the CSV text cannot be read: the quotation marks do not match',
        'put a cell with a quotation mark in it into quotation marks, on one line, or leave it out',
      )
      if (!bad || !headings) return none
      bad(none.fault)
      refused = true
      continue
    }
    if (cells.every(cell => cell === '')) continue
    if (!headings) {
      headings = cells.map(heading)
      const names = headings.map(h => h.name)
      const missing = mandatory.filter(name => !names.includes(name))
      if (missing.length > 0)
        return wrong(
          line,
          `there is no heading ${missing.map(m => `"${m}"`).join(' and ')}; the line reads "${cells.join(', ').slice(0, 120)}"`,
          example,
        )
      const foreign = names.find(name => !columns.includes(name))
      if (foreign !== undefined)
        return wrong(
          line,
          `the heading "${foreign}" is not known here`,
          `use ${columns.join(', ')}, and leave other columns out`,
        )
      units = Object.fromEntries(headings.map(h => [h.name, h.unit]))
      continue
    }
    if (cells.length > headings.length) {
      const none = wrong(
        line,
        `line ${line} has ${cells.length} cells, the headings are ${headings.length}`,
        'write decimal points, not commas, and one value a cell',
      )
      if (!bad) return none
      bad(none.fault)
      refused = true
      continue
    }
    if (rows.length === mostRows)
      return wrong(0, `there are more than ${mostRows} rows`, 'send fewer: one a minute is plenty')
    rows.push({
      line,
      units,
      cells: Object.fromEntries(headings.map((h, i) => [h.name, cells[i] ?? ''])),
      ...(delimiter !== ',' && { decimalComma: true as const }),
    })
  }
  if (!headings) return wrong(0, 'the CSV text is empty', example)
  return rows.length > 0 || refused ? { rows } : wrong(0, 'there is no row below the headings', example)
}

/**
 * A small length as people write it: with its unit, or bare where the column has one.
 *
 * @returns m
 */
export const readLength = (text: string, unit: string): { value: number } | { problem: string; remedy: string } => {
  const bare = /^[+\-\u2212]?[\d.]+(e[+-]?\d+)?$/i.test(text.trim())
  return parseLength(bare && unit !== '' ? `${text} ${unit}` : text)
}
