import type { Bar } from './bars.js'
import { type HeatingScore, heatingBars, heatingScore, heatingTable } from './heating-table.js'
import type { MorningAnswer, MorningsRecord } from './mornings.js'
import { quantile } from './quantile.js'

export interface MorningsScore {
  mornings: number
  answers: Record<string, number>
  go: number
  goWrong: number
  goWrongPerThousand: number
  waits: number
  waitErrorMedianMinutes: number
  waitCoveragePercent: number
  waitNotWithinShift: number
  /** waits whose job was truly within its share at the planned start already, and the error of the others */
  waitNeedless: number
  waitErrorMedianWhenOverMinutes: number
  moves: number
  moveRightPercent: number
  heating: HeatingScore
}

const kinds = ['go', 'go once zeroed', 'wait', 'move', 'cannot tell', 'not today'] as const
const percent = (part: number, whole: number): number => (whole > 0 ? (100 * part) / whole : Number.NaN)

/** min; a wait that had no end within the shift counts as a day: as good as for ever */
const waitError = (wait: MorningAnswer): number => (wait.true === null ? 24 * 60 : Math.abs(wait.likely! - wait.true))

export const mornings = (records: readonly MorningsRecord[]): MorningsScore => {
  const all = records.flatMap(({ answers }) => answers)
  const of = (kind: MorningAnswer['answer']) => all.filter(({ answer }) => answer === kind)
  const [go, waits, moves] = [of('go'), of('wait'), of('move')]
  const isOver = ({ ratio }: MorningAnswer) => ratio !== null && ratio > 1
  const came = waits.filter(wait => wait.true !== null)
  const covered = came.filter(wait => wait.earliest! <= wait.true! && wait.true! <= wait.latest!)
  const goWrong = go.filter(isOver).length
  return {
    mornings: records.reduce((sum, record) => sum + record.mornings, 0),
    answers: Object.fromEntries(kinds.map(kind => [kind, of(kind).length])),
    go: go.length,
    goWrong,
    goWrongPerThousand: 10 * percent(goWrong, go.length),
    waits: waits.length,
    waitErrorMedianMinutes: quantile(waits.map(waitError), 0.5),
    waitNeedless: waits.filter(wait => wait.true === 0).length,
    waitErrorMedianWhenOverMinutes: quantile(waits.filter(wait => wait.true !== 0).map(waitError), 0.5),
    waitCoveragePercent: percent(covered.length, waits.length),
    waitNotWithinShift: waits.length - came.length,
    moves: moves.length,
    moveRightPercent: percent(moves.filter(move => !isOver(move)).length, moves.length),
    heating: heatingScore(records.flatMap(record => record.heating)),
  }
}

export const morningBars = (of: MorningsScore): Bar[] => [
  { name: 'go, true error over the share', value: of.goWrongPerThousand, unit: 'per thousand', least: 0, most: 1 },
  { name: 'wait until, median error', value: of.waitErrorMedianMinutes, unit: 'min', least: 0, most: 15 },
  { name: 'wait until, coverage of the interval', value: of.waitCoveragePercent, unit: '%', least: 85, most: 95 },
  { name: 'move to, right', value: of.moveRightPercent, unit: '%', least: 95, most: 100 },
  ...heatingBars(of.heating),
]

export const morningsTable = (of: MorningsScore): string =>
  [
    `${of.mornings} mornings: ${kinds.map(kind => `${of.answers[kind]} ${kind}`).join(', ')}`,
    `  go        ${of.goWrong} of ${of.go} had a true error over the share`,
    `  wait      likely off by ${of.waitErrorMedianMinutes.toFixed(0)} min (median), interval covers ${of.waitCoveragePercent.toFixed(1)} %; ${of.waitNotWithinShift} of ${of.waits} were not within the share in nine hours`,
    `            ${of.waitNeedless} were within the share at the planned start already; likely off by ${of.waitErrorMedianWhenOverMinutes.toFixed(0)} min (median) for the others`,
    `  move      ${of.moveRightPercent.toFixed(1)} % right of ${of.moves}`,
    heatingTable(of.heating),
    '  The truth: such a job begun then, with the heat that the machine usually gets from its work, in the air that came.',
  ].join('\n')
