import { cellsOf, lines, longestLine, NotALine } from '../table/index.js'
import { inTurns, Turn } from '../turns.js'
import type { Contents, RecordedReading } from './contents.js'
import { readingHeadings } from './headings.js'
import { type Problem, type ReadingOptions, Rows } from './rows.js'
import { saidLookup } from './sensor-names.js'
import { type Survey, surveyRecording } from './survey.js'

/** headings are compared with one another and with the shop's sensors */
const mostColumns = 20_000
/** readings handed on together: each may lie in a block of its own, which is opened when they are stored */
const groupSize = 200

/** the cells of a row brought to the number of headings, or what is wrong with them */
const fitting = (cells: readonly string[] | null, headings: number): readonly string[] | Problem => {
  if (cells === null)
    return {
      kind: 'quotation',
      problem: 'the quotation marks do not match',
      remedy:
        'put a cell with a quotation mark or a line break in it into quotation marks, on one line, or leave it out',
    }
  let length = cells.length
  while (length > headings && cells[length - 1] === '') length -= 1
  if (length === headings) return length === cells.length ? cells : cells.slice(0, length)
  return {
    kind: 'number of cells',
    problem: `there ${length === 1 ? 'is 1 cell' : `are ${length} cells`} below ${headings} headings`,
    remedy:
      length > headings
        ? 'write decimal points, or semicolons between cells with decimal commas'
        : 'give every row as many cells as there are headings; an empty cell is left empty',
  }
}

/**
 * Reads a recording of temperatures: text with comma, semicolon or tab between cells (decimal commas with the latter
 * two), headings, and below them a row for each reading (time, sensor, value) or a column for each sensor. Memory does not
 * grow with its length.
 *
 * @param open gives its bytes from the beginning; called twice where the file must be looked over first
 * @param contents takes what is to be said about it, every fault with its line and column
 * @returns readings in groups, in the file's order
 */
export async function* readRecording(
  open: () => AsyncIterable<Uint8Array>,
  options: ReadingOptions,
  contents: Contents,
): AsyncGenerator<RecordedReading[]> {
  const { choices } = options
  let line = 0
  let rows: Rows | null = null
  const group: RecordedReading[] = []
  const fail = (problem: string, remedy: string) =>
    contents.fail({ line, column: '', kind: 'not readable', problem, remedy })

  const begin = async (text: string, { delimiter, numbered, columns, order }: Survey): Promise<void> => {
    if (/[\0\uFFFD]/.test(text)) {
      fail('the file is no text that can be read', 'save it as "CSV UTF-8", or with the encoding UTF-8')
      return
    }
    const cells = cellsOf(text, delimiter)
    if (!cells) {
      fail('the quotation marks in the headings do not match', 'write the headings without them')
      return
    }
    if (cells.length > mostColumns) {
      fail(
        `there are ${cells.length} columns, more than ${mostColumns}`,
        'leave out what is no sensor’s, or split the file',
      )
      return
    }
    const said = {
      columns: { ...columns, ...choices?.columns },
      units: choices?.units ?? {},
      // what cannot be told is shown with the day first, and asked
      order: order ?? choices?.order ?? 'day first',
    }
    const lookup = saidLookup(options.lookup, said.columns)
    const zone = choices?.offset ?? options.zone
    const headings = await inTurns(readingHeadings(numbered ? ['', ...cells] : cells, lookup, zone, line, said))
    contents.headings = headings
    for (const fault of headings.faults) contents.fail(fault)
    if (headings.layout)
      rows = new Rows(headings, headings.layout, delimiter, { ...options, lookup, units: said.units }, contents)
  }

  const takeRow = (rows: Rows, text: string, survey: Survey): void => {
    const cells = cellsOf(text, survey.delimiter)
    if (cells?.every(cell => cell === '')) return
    contents.rows += 1
    contents.exampleRow ??= cells
    const row = fitting(cells, rows.headings.cells.length)
    if ('kind' in row) {
      contents.rowsRefused += 1
      contents.fault({ line, column: '', ...row })
    } else rows.take(row, line, group)
  }

  try {
    const looked = {
      lookup: options.lookup,
      choices: choices ?? { columns: {}, units: {} },
      now: options.now?.() ?? Number.POSITIVE_INFINITY,
    }
    const survey = options.survey ?? (await surveyRecording(open(), looked))
    contents.survey = survey
    contents.datesUnclear = survey.unclear !== '' && !choices?.order ? survey.unclear : ''
    const turn = new Turn()
    for await (const some of lines(open(), survey.encoding))
      for (const text of some) {
        line += 1
        if (line < survey.line || text.trim() === '') continue
        if (turn.isOver) await turn.next()
        if (rows) takeRow(rows, text, survey)
        else await begin(text, survey)
        if (contents.failed) return
        while (group.length >= groupSize) yield group.splice(0, groupSize)
      }
  } catch (error) {
    if (!(error instanceof NotALine)) throw error
    line = error.line
    fail(
      `line ${line} is longer than ${longestLine / 1e6} million characters; nothing is read from there on`,
      'send a table as CSV text, a row on each line',
    )
  }
  if (group.length > 0) yield group
  if (!rows && !contents.failed) fail('the file is empty', 'choose a file with a line of headings and rows below it')
  else if (rows && contents.rows === 0) fail('there is no row below the headings', 'choose a file with readings in it')
}
