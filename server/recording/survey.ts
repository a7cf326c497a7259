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
import { readHeadings, roleOf } from './headings.js'
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

/** The line of headings: above it there may be titles, below it rows of as many cells. */
const headingAmong = (head: readonly Line[], columns: Looked['choices']['columns']) => {
  const [first] = head
  const named = first && namedDelimiter(first.text)
  const rows = (named ? head.slice(1) : head).filter(({ text }) => text.trim() !== '')
  const candidates = rows.slice(0, mostTitles).map((line, index) => {
    const delimiter = named ?? delimiterOf(line.text)
    const cells = cellsIn(line.text, delimiter)
    const next = rows[index + 1]
    const below = next ? cellsIn(next.text, delimiter) : []
    const isHeading = cells.length > 1 && cells.every(cell => timeKind(cell) === null)
    const fits = below.length >= cells.length - 1 && below.length <= cells.length + 1 && below.length > 1
    const says = cells.some(cell => ['time', 'date'].includes(roleOf(cell, { columns }) ?? ''))
    const tells = below.some(cell => timeKind(cell) !== null)
    return { line, delimiter, index, says: isHeading && says, fits: fits && isHeading, tells }
  })
  const chosen =
    candidates.find(({ says, fits }) => says && fits) ??
    candidates.find(({ fits, tells }) => fits && tells) ??
    candidates.find(({ says }) => says) ??
    candidates[0]
  if (!chosen) return null
  return { ...chosen, below: rows.slice(chosen.index + 1, chosen.index + 1 + sampled) }
}

const isCounting = (cells: readonly string[]): boolean =>
  cells.length > 0 &&
  cells.every((cell, i) => /^\d{1,7}\.?$/.test(cell) && (i === 0 || Number(cell) === Number(cells[i - 1]) + 1))

/** what columns are by what stands in them, where no heading says so */
const columnsByCells = (
  headings: readonly string[],
  rows: readonly string[][],
  { lookup, choices }: Looked,
): Record<string, string> => {
  const found: Record<string, string> = {}
  const column = (index: number) => rows.map(row => row[index] ?? '')
  const kindOf = (index: number) => {
    const kinds = new Set(
      column(index)
        .filter(cell => cell !== '')
        .map(timeKind),
    )
    return kinds.size === 1 ? [...kinds][0] : null
  }
  const free = (index: number): boolean => {
    const heading = headings[index]!
    return choices.columns[heading] === undefined && roleOf(heading, choices) === undefined
  }
  const only = (kind: 'moment' | 'date' | 'clock'): string | null => {
    const all = headings.flatMap((heading, i) => (heading !== '' && free(i) && kindOf(i) === kind ? [heading] : []))
    return all.length === 1 ? all[0]! : null
  }
  const times = headings.flatMap((heading, i) => (['time', 'date'].includes(roleOf(heading, choices) ?? '') ? [i] : []))
  const kind = times.length === 1 ? kindOf(times[0]!) : null
  const [moment, date, clock] = [only('moment'), only('date'), only('clock')]
  if (times.length === 0 && moment) found[moment] = 'time'
  else if (times.length === 0 && date && clock) Object.assign(found, { [date]: 'date', [clock]: 'time' })
  else if (kind === 'date' && clock) {
    found[clock] = 'time'
    found[headings[times[0]!]!] = 'date'
  } else if (kind === 'clock' && date) found[date] = 'date'
  // a column that counts the rows is no sensor's id
  for (const [index, heading] of headings.entries())
    if (
      rows.length > 1 &&
      choices.columns[heading] === undefined &&
      [undefined, 'sensor'].includes(roleOf(heading, choices)) &&
      lookup(heading).length === 0 &&
      isCounting(column(index))
    )
      found[heading] = 'nothing'
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

  const look = (): void => {
    const found = headingAmong(head, looked.choices.columns)
    evidence = null
    if (!found) return
    const { delimiter, line, below } = found
    const rows = below.map(({ text }) => cellsIn(text, delimiter))
    let headings = [...(cellsOf(line.text, delimiter) ?? [])]
    const numbered = rows.length > 0 && rows.every(row => row.length === headings.length + 1)
    Object.assign(survey, { delimiter, line: line.number, numbered: numbered && isCounting(rows.map(row => row[0]!)) })
    if (survey.numbered) headings = ['', ...headings]
    survey.headings = headings
    survey.columns = columnsByCells(headings, rows, looked)
    const { choices, lookup } = looked
    const said = { ...choices, columns: { ...survey.columns, ...choices.columns } }
    const time = readHeadings(headings, lookup, 'UTC', line.number, said).time
    if (!time || !rows.some(row => numbersOf((row[time.column] ?? '').split(/[ ,]/)[0]!))) return
    evidence = text => dates.take(cellsOf(text, delimiter)?.[time.column] ?? '')
    for (const { text } of below) evidence(text)
    for (const { text } of head.slice(head.indexOf(below.at(-1)!) + 1)) evidence(text)
  }

  for await (const some of lines(after(start, bytes), encoding)) {
    for (const text of some) {
      number += 1
      if (evidence) evidence(text)
      else if (evidence === undefined) {
        head.push({ number, text })
        if (head.length >= mostTitles + sampled) look()
      }
    }
    if (evidence === null) break
  }
  if (evidence === undefined) look()
  survey.order = dates.order(looked.now)
  survey.unclear = survey.order === null ? dates.example : ''
  return survey
}
