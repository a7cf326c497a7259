import { readingRows, type TableFault, type TableRow } from '../table/index.js'
import { inTurns } from '../turns.js'
import { Refused } from './refused.js'

const shownFaults = 5

const sentence = (text: string): string => `${text.slice(0, 1).toUpperCase()}${text.slice(1)}.`

const lineOf = (where: string, line: number): string => (line > 0 ? `${where}, line ${line}` : where)

/** `readingRows` of a request's body. @throws Refused 400 that names the line and what would be right */
export const sentTable = async (
  text: string,
  columns: readonly string[],
  mandatory: readonly string[],
): Promise<TableRow[]> => {
  const read = await inTurns(readingRows(text, columns, mandatory))
  if ('rows' in read) return read.rows
  const { line, problem, remedy } = read.fault
  throw new Refused(400, sentence(problem), lineOf('body "csv"', line), sentence(remedy))
}

/** @throws Refused 400 with the first few faults, when there are any */
export const refuseFaults = (faults: readonly TableFault[], where: string): void => {
  if (faults.length === 0) return
  const shown = faults.slice(0, shownFaults)
  const named = shown.map(f => (f.line > 0 ? `line ${f.line}: ${f.problem}` : f.problem)).join('; ')
  const rest = faults.length - shown.length
  throw new Refused(
    400,
    `${named}${rest > 0 ? `; and ${rest} more` : ''}.`,
    lineOf(where, shown[0]!.line),
    `${[...new Set(shown.map(f => f.remedy))].join('; ')}. Nothing was stored.`,
  )
}
