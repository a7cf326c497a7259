import type { Bar } from './bars.js'
import { type HeatingRecord, near } from './heating.js'
import { firstWithin } from './truth.js'

export interface HeatingScore {
  states: Record<string, number>
  starts: number
  /** of the starts: the job at the goal was within its share, or from at most 20 min later for ten; and with it those of the next four hours */
  fitAtGoal: number
  fitWithinNear: number
  stayed: number
  /** of the starts: by how many of 20 min the heating could have come on later; "not": more than 20 min sooner, or never */
  latest: Record<string, number>
  /** of the starts: the latest right one lay within 20 min of it */
  startRight: number
  /** of the starts: the heating had to come on before the goal at all; and of these, how many were right */
  needed: number
  neededRight: number
  anyTime: number
  anyTimeFit: number
}

const percent = (part: number, whole: number): number => (whole > 0 ? (100 * part) / whole : Number.NaN)
const laters = [null, -near, 0, near, 2 * near, 3 * near] as const
const words = ['over 20 sooner, or never', 'up to 20 sooner', '0 to 20', '20 to 40', '40 to 60', '60 or more']

const isFitUntil = ({ ratios }: HeatingRecord, to: number): boolean =>
  ratios!.every(({ after, ratio }) => after > to || ratio <= 1)

/** Whether from 20 min after the goal at the latest a job is within its share for ten minutes, as for the waits. */
const isFitSoon = ({ ratios }: HeatingRecord): boolean => {
  const ahead = ratios!.map(({ after }) => 60 * after)
  const first = firstWithin(
    ahead,
    ratios!.map(({ ratio }) => ratio),
    1,
    600,
  )
  return first !== null && first <= 60 * near
}

export const heatingScore = (records: readonly HeatingRecord[]): HeatingScore => {
  const states: Record<string, number> = {}
  for (const { state } of records) states[state] = (states[state] ?? 0) + 1
  const starts = records.filter(({ state }) => state === 'start')
  const anyTime = records.filter(({ state }) => state === 'any time')
  const right = starts.filter(({ latest }) => latest === 0 || latest === -near)
  const isNeeded = ({ unheated }: HeatingRecord) => unheated! > 1
  const atGoal = (of: HeatingRecord) => isFitUntil(of, 0)
  return {
    states,
    starts: starts.length,
    fitAtGoal: starts.filter(atGoal).length,
    fitWithinNear: starts.filter(isFitSoon).length,
    stayed: starts.filter(of => isFitUntil(of, Number.POSITIVE_INFINITY)).length,
    latest: Object.fromEntries(laters.map((later, i) => [words[i], starts.filter(s => s.latest === later).length])),
    startRight: right.length,
    needed: starts.filter(isNeeded).length,
    neededRight: right.filter(isNeeded).length,
    anyTime: anyTime.length,
    anyTimeFit: anyTime.filter(atGoal).length,
  }
}

export const heatingBars = (of: HeatingScore): Bar[] => {
  const bar = (name: string, part: number): Bar => ({
    ...{ name, value: percent(part, of.starts), unit: '%', least: 90, most: 100 },
  })
  return [
    bar('heating start, fit within 20 min of the goal', of.fitWithinNear),
    bar('heating start, within 20 min of the latest right one', of.startRight),
  ]
}

export const heatingTable = (of: HeatingScore): string =>
  [
    `  heating   asked on evenings: ${Object.entries(of.states)
      .map(([state, count]) => `${count} ${state}`)
      .join(', ')}`,
    `            on as stated: ${of.fitAtGoal} of ${of.starts} within the share at the goal, ${of.fitWithinNear} for ten minutes from at most 20 min after it, ${of.stayed} at the goal and all looks of four hours after it`,
    `            could have come on later by (min): ${words.map(word => `${word}: ${of.latest[word]}`).join('; ')}`,
    `            ${of.starts - of.needed} of ${of.starts} were within the share at the goal even if it came on only then; of the others ${of.neededRight} of ${of.needed} starts lay within 20 min of the latest right one`,
    `            any time: on at the goal, ${of.anyTimeFit} of ${of.anyTime} were within the share at the goal`,
  ].join('\n')
