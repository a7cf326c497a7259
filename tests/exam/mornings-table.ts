import type { Bar } from './bars.js'
import { type HeatingScore, heatingBars, heatingScore, heatingTable } from './heating-table.js'
import type { Asked, MorningAnswer, MorningsRecord } from './mornings.js'
import { quantile } from './quantile.js'

/** Of the answers to one kind of job. */
interface AnswersScore {
  answers: Record<string, number>
  go: number
  goWrong: number
  goWrongPerThousand: number
  /** of those that are to be zeroed first */
  onceZeroedWrong: number
  waits: number
  /** said to be a go if probed again before the finishing cut; and of these, those truly over their share then */
  probed: number
  probedWrong: number
  /** waits that name a start; and of these, those whose job was truly over its share then */
  waitStarts: number
  waitStartsWrong: number
  waitErrorMedianMinutes: number
  waitCoveragePercent: number
  waitNotWithinShift: number
  /** waits whose job was truly within its share at the planned start already, and the error of the others */
  waitNeedless: number
  waitErrorMedianWhenOverMinutes: number
  moves: number
  moveRightPercent: number
}

interface MorningsScore extends AnswersScore {
  mornings: number
  /** jobs with a part from outdoors, and jobs that count from the datum */
  others: Record<Exclude<Asked, 'job start'>, AnswersScore>
  heating: HeatingScore
}

const kinds = ['go', 'go once zeroed', 'wait', 'move', 'cannot tell', 'not today'] as const
const percent = (part: number, whole: number): number => (whole > 0 ? (100 * part) / whole : Number.NaN)

/** min; a wait that had no end within the shift counts as a day: as good as for ever */
const waitError = (wait: MorningAnswer): number => (wait.true === null ? 24 * 60 : Math.abs(wait.likely! - wait.true))

const answersScore = (all: readonly MorningAnswer[]): AnswersScore => {
  const of = (kind: MorningAnswer['answer']) => all.filter(({ answer }) => answer === kind)
  const [go, waits, moves] = [of('go'), of('wait'), of('move')]
  const wrong = (some: readonly MorningAnswer[]) => some.filter(({ ratio }) => ratio !== null && ratio > 1).length
  const came = waits.filter(wait => wait.true !== null)
  const covered = came.filter(wait => wait.earliest! <= wait.true! && wait.true! <= wait.latest!)
  return {
    answers: Object.fromEntries(kinds.map(kind => [kind, of(kind).length])),
    go: go.length,
    goWrong: wrong(go),
    goWrongPerThousand: 10 * percent(wrong(go), go.length),
    onceZeroedWrong: wrong(of('go once zeroed')),
    probed: all.filter(({ probed }) => probed !== null).length,
    probedWrong: all.filter(({ probed }) => probed !== null && probed > 1).length,
    waits: waits.length,
    waitStarts: waits.filter(({ ratio }) => ratio !== null).length,
    waitStartsWrong: wrong(waits),
    waitErrorMedianMinutes: quantile(waits.map(waitError), 0.5),
    waitNeedless: waits.filter(wait => wait.true === 0).length,
    waitErrorMedianWhenOverMinutes: quantile(waits.filter(wait => wait.true !== 0).map(waitError), 0.5),
    waitCoveragePercent: percent(covered.length, waits.length),
    waitNotWithinShift: waits.length - came.length,
    moves: moves.length,
    moveRightPercent: percent(moves.length - wrong(moves), moves.length),
  }
}

export const mornings = (records: readonly MorningsRecord[]): MorningsScore => {
  const all = records.flatMap(({ answers }) => answers)
  const scoreOf = (asked: Asked) => answersScore(all.filter(({ of }) => of === asked))
  return {
    mornings: records.reduce((sum, record) => sum + record.mornings, 0),
    ...scoreOf('job start'),
    others: { 'from outdoors': scoreOf('from outdoors'), datum: scoreOf('datum') },
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

const counted = ({ answers }: AnswersScore): string => kinds.map(kind => `${answers[kind]} ${kind}`).join(', ')

const waitLines = (of: AnswersScore): string[] => [
  `  wait      likely off by ${of.waitErrorMedianMinutes.toFixed(0)} min (median), interval covers ${of.waitCoveragePercent.toFixed(1)} %; ${of.waitNotWithinShift} of ${of.waits} were not within the share in nine hours`,
  `            ${of.waitStarts} of ${of.waits} name a start, ${of.waitStartsWrong} of these had a true error over the share then`,
  `            ${of.waitNeedless} were within the share at the planned start already; likely off by ${of.waitErrorMedianWhenOverMinutes.toFixed(0)} min (median) for the others`,
]

const otherLines = (title: string, of: AnswersScore): string[] => [
  `  ${title}: ${counted(of)}`,
  `  go        ${of.goWrong} of ${of.go} had a true error over the share; once zeroed ${of.onceZeroedWrong} of ${of.answers['go once zeroed']}`,
  ...waitLines(of),
]

export const morningsTable = (of: MorningsScore): string =>
  [
    `${of.mornings} mornings: ${counted(of)}`,
    `  go        ${of.goWrong} of ${of.go} had a true error over the share`,
    ...waitLines(of),
    `  probing again before the finishing cut would do for ${of.probed}; ${of.probedWrong} of these had a true error over the share even so`,
    `  move      ${of.moveRightPercent.toFixed(1)} % right of ${of.moves}`,
    ...otherLines('parts brought in from outdoors half an hour before', of.others['from outdoors']),
    ...otherLines('work that counts from a datum set the working day before at two', of.others.datum),
    heatingTable(of.heating),
    '  The truth: such a job begun then, with the heat that the machine usually gets from its work, in the air that came.',
  ].join('\n')
