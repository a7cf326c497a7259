import type { PlannedTool, ToolJob } from '../../../core/spindle/index.js'
import { type Parsed, parseDuration, parseLength, parsePercent, parseSpeed } from '../../../core/units.js'
import { type CellFault, quoted, type TableRow, takingRows, valueIn, WrongCell } from '../../table/index.js'

/** headings of a list of tools, in the order in which they are to be used */
export const toolColumns = ['tool', 'length', 'speed', 'cutting', 'tolerance', 'share', 'after'] as const
export const mandatoryToolColumns = ['tool', 'length', 'speed', 'cutting', 'tolerance'] as const
type Column = (typeof toolColumns)[number]

/** how much of a tolerance the spindle's growth may take where nothing is written; common practice, no source */
const usualShare = 0.3
/** from and to; what lies outside is a slip of the pen. SI */
const likely: Partial<Record<Column, { from: number; to: number; words: string }>> = {
  length: { from: 0.005, to: 2, words: 'from 5 mm to 2 m' },
  speed: { from: 1 / 60, to: 5000, words: 'from 1 to 300,000 1/min' },
  cutting: { from: 1, to: 7 * 86_400, words: 'from 1 s to 7 d' },
  tolerance: { from: 1e-7, to: 0.01, words: 'from 0.1 µm to 10 mm' },
  share: { from: 0.001, to: 1, words: 'above 0 and up to 100 %' },
}

type Cell = (column: Column) => string

const quantity = (cell: Cell, column: Column, parse: (text: string) => Parsed<number>): number => {
  const value = valueIn(column, parse(cell(column)))
  const { from, to, words } = likely[column]!
  if (value >= from * (1 - 1e-9) && value <= to * (1 + 1e-9)) return value
  throw new WrongCell(column, `${quoted(cell(column))} is not ${words}`, 'check number and unit')
}

const toolIn = (cell: Cell, known: readonly PlannedTool[]): PlannedTool => {
  const name = cell('tool').slice(0, 80)
  if (name === '') throw new WrongCell('tool', 'no tool is named', 'write its number or name, as T7')
  if (known.some(other => other.name.toLowerCase() === name.toLowerCase()))
    throw new WrongCell(
      'tool',
      `${quoted(name)} is in the list twice`,
      'add what it does there, as T7 rough and T7 finish',
    )
  return {
    name,
    length: quantity(cell, 'length', parseLength),
    speed: quantity(cell, 'speed', parseSpeed),
    cutting: quantity(cell, 'cutting', parseDuration),
    tolerance: quantity(cell, 'tolerance', parseLength),
    share: cell('share') === '' ? usualShare : quantity(cell, 'share', parsePercent),
  }
}

/** "T1, T4 drill": indices of tools further up, named in full or by their first word */
const afterIn = (cell: Cell, names: readonly (string | null)[]): number[] =>
  cell('after')
    .split(/[,;+|]| and /i)
    .map(text => text.trim())
    .filter(text => text !== '')
    .map(text => {
      const sought = text.toLowerCase()
      const whole = names.findIndex(name => name?.toLowerCase() === sought)
      if (whole >= 0) return whole
      const alike = names.flatMap((name, i) => (name?.toLowerCase().split(' ')[0] === sought ? [i] : []))
      if (alike.length === 1) return alike[0]!
      throw new WrongCell(
        'after',
        alike.length > 1
          ? `${quoted(text)} may be one of several tools`
          : `${quoted(text)} is no tool further up in the list`,
        alike.length > 1
          ? 'write its name in full'
          : 'name tools of rows above, as T1 + T4: the list itself must keep what comes first',
      )
    })

/**
 * Tools of a job from the rows of a table, a row a step. Any fault refuses the list: half of one is no job.
 *
 * @returns tools, pairs of which the first must be done before the second, and what is wrong in which row and column
 */
export function* readingTools(
  rows: readonly TableRow[],
): Generator<void, Pick<ToolJob, 'tools' | 'before'> & { faults: CellFault[] }> {
  const tools: PlannedTool[] = []
  /** of every row, also of one with a fault: what names it shall not seem wrong too */
  const names: (string | null)[] = []
  const before: [number, number][] = []
  const faults = yield* takingRows(rows, (written, { cells, units }) => {
    const cell: Cell = column => {
      if (column === 'tool' || column === 'after') return (cells[column] ?? '').trim()
      const number = written(column)
      return units[column] && /^[\d.]+$/.test(number) ? `${number} ${units[column]}` : number
    }
    const above = [...names]
    names.push(cell('tool').slice(0, 80) || null)
    const after = afterIn(cell, above)
    tools.push(toolIn(cell, tools))
    for (const first of after) before.push([first, names.length - 1])
  })
  return { tools, before, faults }
}
