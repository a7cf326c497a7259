export type Cell = string | number | boolean | null

/** A table as RFC 4180 text: comma, CRLF, quotes doubled. */
export const csv = (columns: readonly string[], rows: Iterable<readonly Cell[]>): string => {
  let text = `${columns.map(cellText).join(',')}\r\n`
  for (const row of rows) text += `${row.map(cellText).join(',')}\r\n`
  return text
}

/** where a cell begins, in a text that is read with other separators than ours, before what a spreadsheet runs */
const formula = /(^|[;\t\r\n][" ]*)(?=[=+\-@\t\r])/g

/**
 * One cell. A text (never a number) that a spreadsheet would run as a formula gets an apostrophe before it, because notes
 * and names are typed by people; also behind a semicolon or a line's end, where a spreadsheet that is set to semicolons
 * begins a cell whatever quotation marks stand around ours.
 */
export const cellText = (cell: Cell): string => {
  if (cell === null) return ''
  if (typeof cell === 'number') return Number.isFinite(cell) ? String(cell) : ''
  if (typeof cell === 'boolean') return cell ? 'true' : 'false'
  const safe = cell.replace(formula, "$1'")
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe
}

/** ms since 1970 as an ISO 8601 text in UTC */
export const isoTime = (at: number | null): string | null => (at === null ? null : new Date(at).toISOString())
