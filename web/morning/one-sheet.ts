import type { AnswerKind, MorningCheck } from '../../core/morning/index.js'

/** CSS px of the shorter sheet, letter, within its margins of 6 mm, and a little less: lines break otherwise than assumed */
const sheet = 975
/** no larger than this, so that a line holds what it holds on a screen; no smaller, so that it can be read */
const largest = 0.6
const smallest = 0.36

/** sensors that failed in the night: of many that failed together the first tell it. Judgement, no source */
export const mostFailed = 6

/** px; an answer that names a change has more lines */
const rowOf: Record<AnswerKind, number> = {
  go: 46,
  wait: 72,
  move: 60,
  'cannot tell': 68,
  'go once zeroed': 84,
  'not today': 84,
}

/**
 * How much smaller than on the screen the check is printed, so that it fits on one sheet. Heights are those of rows as
 * print.css has them, in px.
 *
 * @returns a factor for the CSS property `zoom`
 */
export const sheetZoom = ({ todo, jobs, machines, night, sensors }: MorningCheck): number => {
  const outside = night ? night.machines.filter(each => (each.outside ?? 0) >= 60).length : 0
  const words = night
    ? 120 + 40 * (night.unusual.length + Math.min(night.failed.length, mostFailed + 1) + night.airs.length + outside)
    : 0
  const picture = night ? 190 + 20 * night.sources.length + 25 * night.machines.length : 0
  const height =
    430 +
    34 * Math.max(1, todo.length) +
    jobs.reduce((sum, { answer }) => sum + rowOf[answer.answer], 46) +
    30 * Math.max(1, machines.length) +
    Math.max(picture, words) +
    30 * Math.max(1, sensors.length)
  return Math.min(largest, Math.max(smallest, sheet / height))
}
