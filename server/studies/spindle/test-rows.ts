import type { SpindleStep } from '../../../core/spindle/index.js'
import { parseDuration, parseSpeed } from '../../../core/units.js'
import { readLength, type TableFault, type TableRow, timeReader } from '../../table/index.js'

/** headings of the table of a growth test */
export const testColumns = ['time', 'speed', 'growth']

/** m; no spindle grows as far */
const farthest = 0.005

/** with the unit of the heading where the cell has none */
const withUnit = (text: string, unit: string | undefined): string =>
  unit && /^[\d.]+$/.test(text.trim()) ? `${text} ${unit}` : text

interface Rows {
  /** ms since 1970 UTC; of the first row where rows give moments, null where they give times since the beginning */
  begun: number | null
  steps: SpindleStep[]
  readings: { at: number; growth: number }[]
  faults: TableFault[]
}

/**
 * A growth test from the rows of a table, a row a step: a row with a speed says what the spindle turns at from then on (and
 * a reading in that row was taken just before the change), a row with a growth is a reading; the last row ends the test.
 *
 * @param zone of the shop, for times without one
 * @param sign 1: a longer spindle reads higher; -1: lower
 */
export function* readingTestRows(rows: readonly TableRow[], zone: string, sign: 1 | -1): Generator<void, Rows> {
  const faults: TableFault[] = []
  const readings: Rows['readings'] = []
  const begins: { at: number; speed: number }[] = []
  const momentOf = timeReader({ zone, scale: null })
  let begun: number | null = null
  let last: number | null = null
  /** s since the first row */
  const timeOf = (text: string, unit: string | undefined): { value: number } | { problem: string; remedy: string } => {
    const since = parseDuration(withUnit(text, unit))
    if (begun === null && 'value' in since) return since
    if (begun === null && last !== null) return since
    const moment = momentOf(text, begun === null || last === null ? null : begun + last * 1000)
    if ('problem' in moment)
      return {
        problem: moment.problem,
        remedy: 'write the time since the beginning (5 min), or a date and time in every row (2026-01-14 09:30)',
      }
    begun ??= moment.at
    return { value: (moment.at - begun) / 1000 }
  }
  for (const { line, cells, units } of rows) {
    yield
    const fault = (problem: string, remedy: string) => faults.push({ line, problem, remedy })
    const [speedCell = '', growthCell = ''] = [cells.speed, cells.growth]
    const at = timeOf(cells.time ?? '', units.time)
    if ('problem' in at) {
      fault(`column "time": ${at.problem}`, at.remedy)
      continue
    }
    if (at.value < (last ?? 0)) {
      fault(`column "time": "${cells.time}" comes before the row above it`, 'put rows in order of time')
      continue
    }
    last = at.value
    if (speedCell !== '') {
      const speed = parseSpeed(withUnit(speedCell, units.speed))
      if ('problem' in speed) fault(`column "speed": ${speed.problem}`, speed.remedy)
      else if (speed.value < 0) fault(`column "speed": "${speedCell}" is below zero`, 'give speeds without a sign')
      else if (speed.value !== begins.at(-1)?.speed) begins.push({ at: at.value, speed: speed.value })
    }
    if (begins.length === 0) {
      if (speedCell === '')
        fault('column "speed": no speed is given yet', 'give the speed in the first row; 0 1/min for a spindle at rest')
      continue
    }
    if (growthCell === '') continue
    const growth = readLength(growthCell, units.growth ?? '')
    if ('problem' in growth) fault(`column "growth": ${growth.problem}`, growth.remedy)
    else if (Math.abs(growth.value) > farthest)
      fault(
        `column "growth": "${growthCell}" is more than 5 mm`,
        'check the unit; an indicator’s change is meant, not a position',
      )
    else readings.push({ at: at.value - begins[0]!.at, growth: sign * growth.value })
  }
  const first = begins[0]?.at ?? 0
  const steps = begins
    .map(({ at, speed }, i) => ({ speed, duration: (begins[i + 1]?.at ?? last ?? at) - at }))
    .filter(({ duration }) => duration > 0)
  if (faults.length === 0 && steps.length === 0)
    faults.push({ line: 0, problem: 'the test lasts no time', remedy: 'send rows from its beginning to its end' })
  return { begun: begun === null ? null : begun + first * 1000, steps, readings, faults }
}
