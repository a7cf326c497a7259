import { parse } from 'csv-parse/sync'
import { DateTime } from 'luxon'
import { parseLength } from '../../core/units.js'
import { Refused } from './refused.js'

/** A row of a table that somebody sent: its cells by column, and its line in the text. */
export interface TableRow {
  line: number
  cells: Record<string, string>
  /** unit given in the column's heading, by column */
  units: Record<string, string>
}

/** what is wrong in a row, and what would be right */
export interface RowFault {
  line: number
  problem: string
  remedy: string
}

export const mostRows = 20_000
const shownFaults = 5

const refused = (what: string, remedy: string, where = 'body "csv"'): Refused => new Refused(400, what, where, remedy)

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
 * with a unit if wanted: `value (µm)`.
 *
 * @param columns   names of headings that are understood
 * @param mandatory those that must be there
 * @throws Refused 400 that names the line and what would be right
 */
export const readTable = (text: string, columns: readonly string[], mandatory: readonly string[]): TableRow[] => {
  const example = `Begin with a line of headings: ${columns.join(', ')}. A unit may stand behind a heading: value (µm).`
  let records: { record: string[]; info: { lines: number } }[]
  try {
    records = parse(text, {
      bom: true,
      delimiter: [',', ';', '\t'],
      info: true,
      relax_column_count: true,
      skip_empty_lines: true,
      skip_records_with_empty_values: true,
      trim: true,
      to: mostRows + 2,
    }) as unknown as typeof records
  } catch (error) {
    throw refused(`The CSV text cannot be read: ${error instanceof Error ? error.message : String(error)}`, example)
  }
  const [first, ...rest] = records
  if (!first) throw refused('The CSV text is empty.', example)
  const headings = first.record.map(heading)
  const missing = mandatory.filter(name => !headings.some(h => h.name === name))
  if (missing.length > 0)
    throw refused(
      `The first line has no heading ${missing.map(m => `"${m}"`).join(' and ')}; it reads "${first.record.join(', ').slice(0, 120)}".`,
      example,
      'body "csv", line 1',
    )
  const foreign = headings.filter(h => !columns.includes(h.name))
  if (foreign.length > 0)
    throw refused(
      `The heading "${foreign[0]!.name}" is not known here.`,
      `Use ${columns.join(', ')}, and leave other columns out.`,
      'body "csv", line 1',
    )
  if (rest.length === 0) throw refused('There is no row below the headings.', example)
  if (rest.length > mostRows)
    throw refused(`There are more than ${mostRows} rows.`, 'Send fewer: one a minute is plenty.')
  const wide = rest.find(({ record }) => record.length > headings.length)
  if (wide)
    throw refused(
      `Line ${wide.info.lines} has ${wide.record.length} cells, the headings are ${headings.length}.`,
      'Write decimal points, not commas, and one value a cell.',
      `body "csv", line ${wide.info.lines}`,
    )
  const units = Object.fromEntries(headings.map(h => [h.name, h.unit]))
  return rest.map(({ record, info }) => ({
    line: info.lines,
    units,
    cells: Object.fromEntries(headings.map((h, i) => [h.name, record[i] ?? ''])),
  }))
}

/** @throws Refused 400 with the first few faults, when there are any */
export const refuseFaults = (faults: readonly RowFault[], where: string): void => {
  if (faults.length === 0) return
  const shown = faults.slice(0, shownFaults)
  const named = shown.map(f => (f.line > 0 ? `line ${f.line}: ${f.problem}` : f.problem)).join('; ')
  const rest = faults.length - shown.length
  throw new Refused(
    400,
    `${named}${rest > 0 ? `; and ${rest} more` : ''}.`,
    shown[0]!.line > 0 ? `${where}, line ${shown[0]!.line}` : where,
    `${[...new Set(shown.map(f => f.remedy))].join('; ')}. Nothing was stored.`,
  )
}

/** characters */
const longestMoment = 60

type Read<T> = { value: T } | { problem: string; remedy: string }

/**
 * A moment: ISO 8601 with a zone, or without one in the shop's; a blank may stand for the T.
 *
 * @returns ms
 */
export const readMoment = (text: string, zone: string): Read<number> => {
  const remedy = 'write a time as 2026-01-14 09:30 (the shop’s time) or with its zone, 2026-01-14T08:30Z'
  const trimmed = text.trim()
  if (trimmed === '') return { problem: 'a time is missing', remedy }
  if (trimmed.length > longestMoment) return { problem: `"${trimmed.slice(0, longestMoment)}…" is not a time`, remedy }
  const time = DateTime.fromISO(trimmed.replace(/^(\d{4}-\d\d-\d\d)\s+/, '$1T'), { zone })
  if (!time.isValid || !/^\d{4}-\d\d-\d\dT?/.test(trimmed)) return { problem: `"${trimmed}" is not a time`, remedy }
  return { value: time.toMillis() }
}

/**
 * A small length as people write it: with its unit, or bare where the column has one.
 *
 * @returns m
 */
export const readLength = (text: string, unit: string): Read<number> => {
  const bare = /^[+\-\u2212]?[\d.]+(e[+-]?\d+)?$/i.test(text.trim())
  return parseLength(bare && unit !== '' ? `${text} ${unit}` : text)
}
