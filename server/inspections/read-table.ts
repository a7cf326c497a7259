import { type InspectionChoices, type InspectionEntry, inspectionChoices } from '../../core/inspection/index.js'
import type { Shop } from '../../core/shop.js'
import type { InspectionFault, InspectionPreview } from '../http/schemas/inspections.js'
import { kindOf } from '../recording/look-through.js'
import type { Store } from '../store/store.js'
import { cellsOf, type Delimiter, delimiterOf, encodingOf, lines, NotALine, OrderEvidence } from '../table/index.js'
import { Turn } from '../turns.js'
import { columnsOf, missingUses, useOf } from './headings.js'
import { InspectionRows } from './rows.js'
import { keyOf, standingKeys } from './standing.js'

/** bytes a table may have */
export const largestTable = 32 * 1024 * 1024
/** rows of one */
const mostRows = 100_000
/** lines among which the headings are looked for: above them there may be a title */
const mostTitles = 10
const shown = { faults: 200, samples: 20 }

export const noChoices: InspectionChoices = inspectionChoices.parse({})

/** A table of inspections as it was understood. */
export interface InspectionTable {
  preview: InspectionPreview
  /** what can be taken and is not there yet */
  entries: InspectionEntry[]
  /** every one */
  faults: InspectionFault[]
  /** what tables with the same headings have in common; null where there are none */
  kind: string | null
}

export interface ReadingParts {
  shop: Shop
  store: Pick<Store, 'facts' | 'inspections'>
  /** ms */
  now: number
}

interface Layout {
  delimiter: Delimiter
  /** among the lines, from 0 */
  at: number
  headings: string[]
}

/** the line with the most headings that are understood, among the first */
const layoutOf = (all: readonly string[]): Layout | null => {
  let best: (Layout & { known: number; written: number }) | null = null
  let seen = 0
  for (const [at, text] of all.entries()) {
    if (text.trim() === '') continue
    if (seen++ >= mostTitles) break
    const delimiter = delimiterOf(text)
    const headings = cellsOf(text, delimiter)
    if (!headings || headings.length > 500) continue
    const known = headings.filter(heading => useOf(heading) !== undefined).length
    const written = headings.filter(Boolean).length
    // in words of another language none is understood: then a title is what has by far fewer cells than the next line
    if (!best || known > best.known || (known === best.known && 2 * best.written < written))
      best = { delimiter, at, headings, known, written }
  }
  return best && { delimiter: best.delimiter, at: best.at, headings: best.headings }
}

const nothing = (choices: InspectionChoices): InspectionPreview => ({
  readable: false,
  choices,
  remembered: null,
  columns: [],
  missing: [],
  datesUnclear: '',
  unitUnclear: false,
  decimalComma: false,
  repeatedHour: 0,
  rows: 0,
  good: 0,
  alreadyThere: 0,
  refused: 0,
  faults: [],
  faultCounts: [],
  samples: [],
  from: null,
  to: null,
})

const linesOf = async (bytes: Uint8Array): Promise<string[]> => {
  const all: string[] = []
  const turn = new Turn()
  async function* pieces() {
    for (let from = 0; from < bytes.length; from += 65_536) {
      if (turn.isOver) await turn.next()
      yield bytes.subarray(from, from + 65_536)
    }
  }
  for await (const some of lines(pieces(), encodingOf(bytes.subarray(0, 4096)))) for (const line of some) all.push(line)
  return all
}

/** how dates in numbers are meant, by all of them together, and one that leaves it open */
const orderOf = async (
  rows: readonly (string[] | null)[],
  columns: readonly number[],
  now: number,
): Promise<{ order: InspectionChoices['order']; unclear: string }> => {
  const evidence = new OrderEvidence()
  const turn = new Turn()
  for (const row of rows) {
    if (turn.isOver) await turn.next()
    for (const column of columns) evidence.take(row?.[column] ?? '')
  }
  const order = evidence.order(now)
  return { order, unclear: order === null ? evidence.example : '' }
}

/**
 * Reads a table of inspections, storing nothing: what can be taken of it, and all that is wrong with the rest.
 *
 * @param bytes of the file
 * @param said  what somebody says of it; null: as it was said of the last one with the same headings
 */
export const readInspections = async (
  bytes: Uint8Array,
  said: InspectionChoices | null,
  { shop, store, now }: ReadingParts,
): Promise<InspectionTable> => {
  const faults: InspectionFault[] = []
  const unreadable = (line: number, problem: string, remedy: string, choices = said ?? noChoices): InspectionTable => {
    const fault = { line, column: '', problem, remedy }
    return { preview: { ...nothing(choices), faults: [fault] }, entries: [], faults: [fault], kind: null }
  }
  let all: string[]
  try {
    all = await linesOf(bytes)
  } catch (error) {
    if (!(error instanceof NotALine)) throw error
    return unreadable(error.line, 'a line is too long to be a row', 'send a table as CSV text, a row on each line')
  }
  const layout = layoutOf(all)
  if (!layout) return unreadable(0, 'the file is empty', 'choose a file with a line of headings and rows below it')
  const { delimiter, at, headings } = layout
  if (/[\0\uFFFD]/.test(all[at]!))
    return unreadable(at + 1, 'the file is no text that can be read', 'save the sheet as "CSV UTF-8"')
  if (headings.length < 2)
    return unreadable(
      at + 1,
      `the line reads ${JSON.stringify(all[at]!.slice(0, 80))}, which is no line of headings`,
      'begin with a line of headings, with commas, semicolons or tabs between them',
    )
  if (all.length - at - 1 > mostRows)
    return unreadable(0, `there are more than ${mostRows} rows`, 'split the file; what is there already is not doubled')
  const kind = kindOf(headings)
  const known = said ? undefined : (await store.facts.of('inspection kind', { subject: kind })).at(-1)
  const choices = said ?? known?.choices ?? noChoices
  const columns = columnsOf(headings, choices)

  const turn = new Turn()
  const rows: (string[] | null)[] = []
  for (const text of all.slice(at + 1)) {
    if (turn.isOver) await turn.next()
    rows.push(text.trim() === '' ? [] : cellsOf(text, delimiter))
  }
  const dated = columns.flatMap(({ use }, i) => (use === 'time' || use === 'date' ? [i] : []))
  const { order, unclear } = await orderOf(rows, dated, now)
  const missing = missingUses(columns, choices)
  const decimalComma = delimiter !== ','
  const reader = new InspectionRows(columns, { ...choices, order: choices.order ?? order }, decimalComma, { shop, now })
  const there = await standingKeys(store)
  const entries: InspectionEntry[] = []
  const counted = { rows: 0, alreadyThere: 0, refused: 0 }
  let example: readonly string[] = []
  for (const [i, row] of rows.entries()) {
    if (turn.isOver) await turn.next()
    if (row?.every(cell => cell === '')) continue
    counted.rows += 1
    const line = at + 2 + i
    if (!row) {
      counted.refused += 1
      faults.push({
        line,
        column: '',
        problem: 'the quotation marks do not match',
        remedy: 'put a cell with a quotation mark in it into quotation marks, on one line, or leave it out',
      })
      continue
    }
    if (example.length === 0) example = row
    const surplus = row.slice(headings.length).findIndex(cell => cell !== '')
    const taken =
      surplus < 0
        ? missing.length > 0
          ? null
          : reader.take(row, line)
        : [
            {
              line,
              column: '',
              problem: `there are ${row.length} cells below ${headings.length} headings`,
              remedy: decimalComma
                ? 'give every row as many cells as there are headings'
                : 'write decimal points, or semicolons between cells with decimal commas',
            },
          ]
    if (taken === null) continue
    if (Array.isArray(taken)) {
      counted.refused += 1
      for (const fault of taken) faults.push(fault)
      continue
    }
    const key = keyOf(taken)
    if (there.has(key)) counted.alreadyThere += 1
    else {
      // two parts without a number may be alike, and cut within a minute
      if (taken.serial !== '') there.add(key)
      entries.push(taken)
    }
  }
  if (counted.rows === 0)
    return unreadable(at + 1, 'there is no row below the headings', 'choose a file with measured parts in it', choices)
  const counts = new Map<string, number>()
  for (const { column } of faults) counts.set(column, (counts.get(column) ?? 0) + 1)
  const times = entries.reduce(
    (span, { from, to }) => [Math.min(span[0]!, from), Math.max(span[1]!, to)],
    [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY],
  )
  const preview: InspectionPreview = {
    readable: true,
    choices,
    remembered: known ? { by: known.by, at: known.at } : null,
    columns: columns.map((column, i) => ({ ...column, example: (example[i] ?? '').slice(0, 80) })),
    missing,
    datesUnclear: choices.order ? '' : unclear,
    unitUnclear: reader.unitUnclear,
    decimalComma,
    repeatedHour: reader.repeatedHour,
    ...counted,
    good: entries.length,
    faults: faults.slice(0, shown.faults),
    faultCounts: [...counts].map(([column, count]) => ({ column, count })),
    samples: entries.slice(0, shown.samples),
    from: entries.length > 0 ? times[0]! : null,
    to: entries.length > 0 ? times[1]! : null,
  }
  return { preview, entries, faults, kind }
}
