import { nearestNames } from '../../core/nearest.js'
import type { Machine } from '../../core/shop.js'
import type { Parsed } from '../../core/units.js'
import { quoted } from './quoted.js'
import type { TableFault, TableRow } from './read-table.js'

// What single cells of a row say, each by itself.

export interface Wrong {
  problem: string
  remedy: string
}

/** What is wrong in a row, and in which column of it; empty where the row as a whole is. */
export interface CellFault extends TableFault {
  column: string
}

/** What is wrong in a cell: thrown within a row, and caught there. */
export class WrongCell extends Error {
  constructor(
    readonly column: string,
    problem: string,
    readonly remedy: string,
  ) {
    super(problem)
  }

  /** @param line of the row */
  faultIn(line: number): CellFault {
    return { line, column: this.column, problem: this.message, remedy: this.remedy }
  }
}

/**
 * Looks at rows of a table, a row a step: one in which a cell is wrong is refused, and the others are taken.
 *
 * @param take is given what stands in a column of the row, with a decimal point where it had a comma
 * @returns what is wrong in which row and column
 */
export function* takingRows(
  rows: readonly TableRow[],
  take: (cell: (column: string) => string, row: TableRow) => void,
): Generator<void, CellFault[]> {
  const faults: CellFault[] = []
  for (const row of rows) {
    yield
    try {
      take(column => {
        const text = (row.cells[column] ?? '').trim()
        return row.decimalComma ? text.replace(/(\d),(?=\d)/g, '$1.') : text
      }, row)
    } catch (error) {
      if (!(error instanceof WrongCell)) throw error
      faults.push(error.faultIn(row.line))
    }
  }
  return faults
}

/** @throws WrongCell */
export const valueIn = <T>(column: string, parsed: Parsed<T>): T => {
  if ('value' in parsed) return parsed.value
  throw new WrongCell(column, parsed.problem, parsed.remedy)
}

export const wrong = (problem: string, remedy: string): Wrong => ({ problem, remedy })

/** A machine of the shop by its name or id. */
export const machineIn = (machines: readonly Machine[], text: string): Parsed<Machine> => {
  if (text === '') return wrong('no machine is named', 'write the machine on which it was cut')
  const found = machines.find(({ id, name }) => [id, name].some(each => each.toLowerCase() === text.toLowerCase()))
  if (found) return { value: found }
  const known = machines.map(({ name }) => name)
  const [near] = nearestNames(text, known, 1)
  return wrong(
    `${quoted(text)} is not a machine of this shop`,
    near ? `did you mean ${near}?` : `write one of ${known.slice(0, 20).join(', ')}`,
  )
}

/** One of some words; `otherwise` where nothing is written. */
export const choice = <const T extends string>(written: string, choices: readonly T[], otherwise: T): Parsed<T> => {
  const text = written.toLowerCase()
  if (text === '') return { value: otherwise }
  const found = choices.find(
    each => each === text || (each === 'larger' && text === '+') || (each === 'smaller' && text === '-'),
  )
  return found
    ? { value: found }
    : wrong(
        `${quoted(written)} is not one of the choices`,
        `write ${choices.join(' or ')}, or nothing for ${otherwise}`,
      )
}

/** An axis of a machine by its name. */
export const axisIn = ({ axes, name }: Machine, text: string): Parsed<Machine['axes'][number]> => {
  const found = axes.find(({ id }) => id.toLowerCase() === text.toLowerCase())
  return found
    ? { value: found }
    : wrong(
        `${quoted(text)} is not an axis of ${name}`,
        `write one of ${axes.map(({ id }) => id).join(', ')}, or nothing where it is not known`,
      )
}
