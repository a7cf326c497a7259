export type Cell = string | number | boolean | null | undefined

/** headings, and what stands below each in the line of a row */
export type Columns<Row> = Readonly<Record<string, (row: Row) => Cell>>

/** A table as RFC 4180 text: comma, CRLF, quotes doubled. */
export const csv = (columns: readonly string[], rows: Iterable<readonly Cell[]>): string => {
  let text = `${columns.map(cellText).join(',')}\r\n`
  for (const row of rows) text += `${row.map(cellText).join(',')}\r\n`
  return text
}

/** A table of rows that all have the same columns, as CSV. */
export const table = <Row>(rows: Iterable<Row>, columns: Columns<Row>): string => {
  const cells = Object.values(columns)
  return csv(
    Object.keys(columns),
    [...rows].map(row => cells.map(cell => cell(row))),
  )
}

/** where a cell begins, in a text that is read with other separators than ours, before what a spreadsheet runs */
const formula = /(^|[;\t\r\n][" ]*)(?=[=+\-@\t\r])/g

/**
 * One cell. A text (never a number) that a spreadsheet would run as a formula gets an apostrophe before it, because notes
 * and names are typed by people; also behind a semicolon or a line's end, where a spreadsheet that is set to semicolons
 * begins a cell whatever quotation marks stand around ours.
 */
export const cellText = (cell: Cell): string => {
  if (cell === null || cell === undefined) return ''
  if (typeof cell === 'number') return Number.isFinite(cell) ? String(cell) : ''
  if (typeof cell === 'boolean') return cell ? 'true' : 'false'
  const safe = cell.replace(formula, "$1'")
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe
}

/** ms since 1970 as an ISO 8601 text in UTC */
export const isoTime = (at: number | null | undefined): string | null =>
  at === null || at === undefined ? null : new Date(at).toISOString()
