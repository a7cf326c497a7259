/** Tables that people send as CSV text: lines and cells, times of day, rows by column, and what is wrong where. */
export { type DateOrder, numbersOf, OrderEvidence, timeKind } from '../../core/written-time.js'
export {
  axisIn,
  type CellFault,
  choice,
  machineIn,
  takingRows,
  valueIn,
  type Wrong,
  WrongCell,
  wrong,
} from './cells.js'
export {
  cellsOf,
  type Delimiter,
  delimiterOf,
  type Encoding,
  encodingOf,
  lines,
  longestLine,
  NotALine,
} from './lines.js'
export { quoted } from './quoted.js'
export { readingRows, readLength, type TableFault, type TableRow, typedRow } from './read-table.js'
export { epochTime, instantsOf, type TimeMeaning, type TimeProblem, type TimeRead, timeReader } from './time.js'
