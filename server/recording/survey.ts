import type { RecordingChoices } from '../../core/facts.js'
import {
  cellsOf,
  type DateOrder,
  type Delimiter,
  delimiterOf,
  type Encoding,
  encodingOf,
  lines,
  numbersOf,
  OrderEvidence,
  timeKind,
} from '../table/index.js'
import { inTurns, Turn } from '../turns.js'
import { readingHeadings, roleOf } from './headings.js'
import type { SensorLookup } from './sensor-names.js'

/** What is found out about a recording as a whole before its rows are read. */
export interface Survey {
  encoding: Encoding
  delimiter: Delimiter
  /** where the headings stand, counted from 1 */
  line: number
  /** as in the file */
  headings: readonly string[]
  /** rows begin with a number that has no heading */
  numbered: boolean
  /** what the cells of a column show it to be, where its heading does not say so */
  columns: Record<string, string>
  /** order of dates in numbers; null: cannot be told, and `unclear` is one of them; empty: there are none */
  order: DateOrder | null
  unclear: string
}

interface Looked {
  lookup: SensorLookup
  choices: Pick<RecordingChoices, 'columns' | 'units'>
  /** ms */
  now: number
}

/** lines in which headings are looked for, and those below them that are looked at */
const mostTitles = 40
const sampled = 100

interface Line {
  number: number
  text: string
}

/** a spreadsheet's first line "sep=;", which names the delimiter */
const namedDelimiter = (text: string): Delimiter | undefined =>
  /^sep=([,;\t])$/i.exec(text.trim())?.[1] as Delimiter | undefined

const cellsIn = (text: string, delimiter: Delimiter): string[] => {
  const cells = [...(cellsOf(text, delimiter) ?? [])]
  while (cells.at(-1) === '') cells.pop()
  return cells
}

interface Candidate {
  line: Line
  delimiter: Delimiter
  /** among the lines that are not empty */
  index: number
}

/** The line of headings: above it there may be titles, below it rows of as many cells. A line, or a cell of it, a step. */
function* headingAmong(
  head: readonly Line[],
  columns: Looked['choices']['columns'],
): Generator<void, (Candidate & { below: readonly Line[] }) | null> {
  const [first] = head
  const named = first && namedDelimiter(first.text)
  const rows = (named ? head.slice(1) : head).filter(({ text }) => text.trim() !== '')
  const all: { best?: Candidate; byRows?: Candidate; byNames?: Candidate; first?: Candidate } = {}
  for (const [index, line] of rows.slice(0, mostTitles).entries()) {
    yield
    const delimiter = named ?? delimiterOf(line.text)
    const candidate = { line, delimiter, index }
    all.first ??= candidate
    const cells = cellsIn(line.text, delimiter)
    let isHeading = cells.length > 1
    for (let i = 0; isHeading && i < cells.length; i++) {
      yield
      isHeading = timeKind(cells[i]!) === null
    }
    if (!isHeading) continue
    const next = rows[index + 1]
    const below = next ? cellsIn(next.text, delimiter) : []
    const fits = below.length >= cells.length - 1 && below.length <= cells.length + 1 && below.length > 1
    const says = cells.some(cell => ['time', 'date'].includes(roleOf(cell, { columns }) ?? ''))
    if (says) all.byNames ??= candidate
    if (fits && below.some(cell => timeKind(cell) !== null)) all.byRows ??= candidate
    if (!says || !fits) continue
    all.best = candidate
    break
  }
  const chosen = all.best ?? all.byRows ?? all.byNames ?? all.first
  return chosen ? { ...chosen, below: rows.slice(chosen.index + 1, chosen.index + 1 + sampled) } : null
}

const isCounting = (rows: readonly string[][], column: number): boolean =>
  rows.length > 0 &&
  rows.every((row, i) => {
    const cell = row[column] ?? ''
    return /^\d{1,7}\.?$/.test(cell) && (i === 0 || Number(cell) === Number(rows[i - 1]![column]) + 1)
  })

/** what all cells of a column are that are not empty; null when they are several things, or no time */
const kindOf = (rows: readonly string[][], column: number): ReturnType<typeof timeKind> => {
  let kind: ReturnType<typeof timeKind> = null
  for (const row of rows) {
    const cell = row[column] ?? ''
    if (cell === '') continue
    const own = timeKind(cell)
    if (own === null || (kind !== null && own !== kind)) return null
    kind = own
  }
  return kind
}

/** What columns are by what stands in them, where no heading says so. A column a step. */
function* columnsByCells(
  headings: readonly string[],
  rows: readonly string[][],
  { lookup, choices }: Looked,
): Generator<void, Record<string, string>> {
  const found: Record<string, string> = {}
  const times: number[] = []
  const counting: string[] = []
  const free = { moment: [] as string[], date: [] as string[], clock: [] as string[] }
  for (const [index, heading] of headings.entries()) {
    yield
    const role = roleOf(heading, choices)
    const isSaid = choices.columns[heading] !== undefined
    if (role === 'time' || role === 'date') times.push(index)
    else if (heading !== '' && role === undefined && !isSaid) {
      const kind = kindOf(rows, index)
      if (kind) free[kind].push(heading)
    }
    const mayCount = rows.length > 1 && !isSaid && (role === undefined || role === 'sensor')
    if (mayCount && isCounting(rows, index) && lookup(heading).length === 0) counting.push(heading)
  }
  const only = (headings: readonly string[]) => (headings.length === 1 ? headings[0]! : null)
  const [moment, date, clock] = [only(free.moment), only(free.date), only(free.clock)]
  const kind = times.length === 1 ? kindOf(rows, times[0]!) : null
  if (times.length === 0 && moment) found[moment] = 'time'
  else if (times.length === 0 && date && clock) Object.assign(found, { [date]: 'date', [clock]: 'time' })
  else if (kind === 'date' && clock) {
    found[clock] = 'time'
    found[headings[times[0]!]!] = 'date'
  } else if (kind === 'clock' && date) found[date] = 'date'
  // a column that counts the rows is no sensor's id
  for (const heading of counting) found[heading] = 'nothing'
  return found
}

async function* after(first: Uint8Array, rest: AsyncIterator<Uint8Array>): AsyncGenerator<Uint8Array> {
  yield first
  for (let next = await rest.next(); !next.done; next = await rest.next()) yield next.value
}

/**
 * Looks a recording over: its encoding, where its headings are, what its columns hold, and the order of its dates, for
 * which it is read to the end where there are dates in numbers.
 *
 * @throws NotALine when a line does not end
 */
export const surveyRecording = async (chunks: AsyncIterable<Uint8Array>, looked: Looked): Promise<Survey> => {
  const bytes = chunks[Symbol.asyncIterator]()
  let start = new Uint8Array(0)
  // enough to tell the encoding by
  while (start.length < 4096) {
    const next = await bytes.next()
    if (next.done) break
    const more = new Uint8Array(start.length + next.value.length)
    more.set(start)
    more.set(next.value, start.length)
    start = more
  }
  const encoding = encodingOf(start)
  const survey: Survey = {
    encoding,
    delimiter: ',',
    line: 1,
    headings: [],
    numbered: false,
    columns: {},
    order: 'day first',
    unclear: '',
  }
  const head: Line[] = []
  let number = 0
  let evidence: ((text: string) => void) | null | undefined
  const dates = new OrderEvidence()

  function* looking(): Generator<void, void> {
    evidence = null
    const found = yield* headingAmong(head, looked.choices.columns)
    if (!found) return
    const { delimiter, line, below } = found
    const rows: string[][] = []
    for (const { text } of below) {
      yield
      rows.push(cellsIn(text, delimiter))
    }
    let headings = [...(cellsOf(line.text, delimiter) ?? [])]
    const numbered = rows.length > 0 && rows.every(row => row.length === headings.length + 1)
    Object.assign(survey, { delimiter, line: line.number, numbered: numbered && isCounting(rows, 0) })
    if (survey.numbered) headings = ['', ...headings]
    survey.headings = headings
    survey.columns = yield* columnsByCells(headings, rows, looked)
    const { choices, lookup } = looked
    const said = { ...choices, columns: { ...survey.columns, ...choices.columns } }
    const { time } = yield* readingHeadings(headings, lookup, 'UTC', line.number, said)
    if (!time || !rows.some(row => numbersOf((row[time.column] ?? '').split(/[ ,]/)[0]!))) return
    const take = (text: string) => dates.take(cellsOf(text, delimiter)?.[time.column] ?? '')
    evidence = take
    for (const { text } of head.slice(head.indexOf(below[0]!))) {
      yield
      take(text)
    }
  }

  const turn = new Turn()
  for await (const some of lines(after(start, bytes), encoding)) {
    for (const text of some) {
      if (turn.isOver) await turn.next()
      number += 1
      if (evidence) evidence(text)
      else if (evidence === undefined) {
        head.push({ number, text })
        if (head.length >= mostTitles + sampled) await inTurns(looking())
      }
    }
    if (evidence === null) break
  }
  if (evidence === undefined) await inTurns(looking())
  survey.order = dates.order(looked.now)
  survey.unclear = survey.order === null ? dates.example : ''
  return survey
}
