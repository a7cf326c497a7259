import type { Bar } from './bars.js'
import { fitSince, type HeatingRecord, type Ratios } from './heating.js'

/** min; a machine that is fit so long before or after the goal is fit at the time that was stated */
const near = 20
/** min before the goal; where the heating is to come on no sooner, it is said that it need not come on before */
const atGoal = 1

export interface HeatingScore {
  states: Record<string, number>
  /** times stated for the heating to come on before the goal; in how many min after the goal the machine was fit with it */
  starts: number
  since: Record<string, number>
  /** of these: within 20 min of the goal; at most so long after it; the machine would have been, had it come on at the goal only */
  fitNear: number
  fitBy: number
  needless: number
  /** said to be likely not needed before the goal, and fit at most 20 min after it, on at the goal */
  notNeeded: number
  notNeededRight: number
  /** of both: fit at the goal with the heating on when it is to be safe */
  safe: number
  anyTime: number
  anyTimeFit: number
}

const percent = (part: number, whole: number): number => (whole > 0 ? (100 * part) / whole : Number.NaN)

const bounds = [
  ['an hour or more before', -60],
  ['20 to 60 before', -near],
  ['within 20', near],
  ['20 to 60 after', 60],
] as const
const never = 'later'
const wordOf = (since: number | null): string =>
  since === null ? never : (bounds.find(([, most]) => since < most || (most > 0 && since === most))?.[0] ?? never)

const isBy = (of: Ratios, by: number): boolean => (fitSince(of) ?? Number.POSITIVE_INFINITY) <= by

export const heatingScore = (records: readonly HeatingRecord[]): HeatingScore => {
  const states: Record<string, number> = {}
  for (const { state } of records) states[state] = (states[state] ?? 0) + 1
  const stated = records.filter(({ state }) => state === 'start')
  const starts = stated.filter(({ ahead }) => ahead! >= atGoal)
  const notNeeded = stated.filter(({ ahead }) => ahead! < atGoal)
  const anyTime = records.filter(({ state }) => state === 'any time')
  const words = starts.map(({ ratios }) => wordOf(fitSince(ratios!)))
  const names = [...bounds.map(([name]) => name), never]
  return {
    states,
    starts: starts.length,
    since: Object.fromEntries(names.map(name => [name, words.filter(word => word === name).length])),
    fitNear: words.filter(word => word === 'within 20').length,
    fitBy: starts.filter(({ ratios }) => isBy(ratios!, near)).length,
    needless: starts.filter(({ unheated }) => isBy(unheated!, near)).length,
    notNeeded: notNeeded.length,
    notNeededRight: notNeeded.filter(({ unheated }) => isBy(unheated!, near)).length,
    safe: stated.filter(({ safe }) => isBy(safe!, 0)).length,
    anyTime: anyTime.length,
    anyTimeFit: anyTime.filter(({ unheated }) => isBy(unheated!, 0)).length,
  }
}

export const heatingBars = (of: HeatingScore): Bar[] => [
  {
    name: 'heating start, fit within 20 min of the stated time',
    value: percent(of.fitNear + of.notNeededRight, of.starts + of.notNeeded),
    ...{ unit: '%', least: 90, most: 100 },
  },
]

export const heatingTable = (of: HeatingScore): string => {
  const stated = of.starts + of.notNeeded
  return [
    `  heating   asked on evenings: ${Object.entries(of.states)
      .map(([state, count]) => `${count} ${state}`)
      .join(', ')}`,
    `            on as stated, ${of.starts}: fit since (min from the goal) ${Object.entries(of.since)
      .map(([name, count]) => `${name}: ${count}`)
      .join('; ')}`,
    `            ${of.fitBy} of these were fit at most 20 min after the goal, ${of.needless} even if it came on at the goal only`,
    `            likely not needed before the goal, ${of.notNeeded}: ${of.notNeededRight} were fit at most 20 min after it, on at the goal`,
    `            on when it is to be safe: ${of.safe} of ${stated} were fit at the goal`,
    `            any time: on at the goal, ${of.anyTimeFit} of ${of.anyTime} were fit at the goal`,
    '            Fit: jobs begun from then on until an hour after the goal are within the share.',
  ].join('\n')
}
