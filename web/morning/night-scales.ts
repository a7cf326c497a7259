import type { Night } from '../../core/morning/index.js'

/** A line of the night: moments in ms, values in SI, null where nothing is known. */
type Course = Night['airs'][number]['course']

/** the drawing's own units across; a night is drawn as wide as its card */
export const wide = 1000

/** @returns where a moment of the night lies across */
export const across = ({ from, to }: Pick<Night, 'from' | 'to'>, at: number): number =>
  wide * Math.min(1, Math.max(0, (at - from) / (to - from || 1)))

const rounded = (value: number): string => value.toFixed(1)

/** Path of a line, broken where nothing is known. @param y from SI to the drawing's units */
export const pathOf = ({ at, value }: Course, night: Pick<Night, 'from' | 'to'>, y: (si: number) => number): string => {
  let path = ''
  let isDrawing = false
  at.forEach((moment, i) => {
    const si = value[i] ?? null
    if (si === null) {
      isDrawing = false
      return
    }
    path += `${isDrawing ? 'L' : 'M'}${rounded(across(night, moment))} ${rounded(y(si))}`
    isDrawing = true
  })
  return path
}

/** Outline of a band. */
export const bandOf = (
  { at, low, high }: { at: readonly number[]; low: readonly number[]; high: readonly number[] },
  night: Pick<Night, 'from' | 'to'>,
  y: (si: number) => number,
): string => {
  if (at.length === 0) return ''
  const point = (moment: number, si: number) => `${rounded(across(night, moment))} ${rounded(y(si))}`
  const up = at.map((moment, i) => point(moment, high[i]!))
  const down = at.map((moment, i) => point(moment, low[i]!)).reverse()
  return `M${[...up, ...down].join('L')}z`
}

/** so many can be told apart in one picture */
const mostAirs = 4

/** The airs that are drawn: outdoors is of another range, and is told in words. */
export const drawnAirs = ({ airs }: Pick<Night, 'airs'>): Night['airs'] =>
  airs.filter(({ id }) => id !== 'outdoors').slice(0, mostAirs)

interface Range {
  low: number
  high: number
}

const widened = (range: Range | null, value: number | null | undefined): Range | null => {
  if (typeof value !== 'number' || !Number.isFinite(value)) return range
  return range ? { low: Math.min(range.low, value), high: Math.max(range.high, value) } : { low: value, high: value }
}

/** What the drawn airs of a night range over with their usual bands, °C, at least two kelvin of it; null where nothing is known. */
export const airRange = (night: Pick<Night, 'airs'>): Range | null => {
  let range: Range | null = null
  for (const { course, usual } of drawnAirs(night))
    for (const values of [course.value, usual?.low ?? [], usual?.high ?? []])
      for (const value of values) range = widened(range, value)
  if (!range) return null
  const missing = Math.max(0, 2 - (range.high - range.low)) / 2
  const edge = 0.06 * (range.high - range.low + 2 * missing)
  return { low: range.low - missing - edge, high: range.high + missing + edge }
}

/** m; what one machine's axes range over in the night, zero always in it */
export const growthRange = (axes: Night['machines'][number]['axes']): Range => {
  let range: Range = { low: 0, high: 0 }
  for (const { growth } of axes) for (const value of growth.value) range = widened(range, value) ?? range
  return range
}

/** m; a lane is as high as the largest range of all machines, so that all are drawn to one scale; at least 4 µm */
export const laneHeight = ({ machines }: Pick<Night, 'machines'>): number =>
  machines.reduce((most, { axes }) => {
    const { low, high } = growthRange(axes)
    return Math.max(most, high - low)
  }, 4e-6)

/** Levels worth a line and a number: whole steps of the reader's unit. */
export const levelsIn = (low: number, high: number, most = 5): number[] => {
  const step = [0.5, 1, 2, 5, 10, 20].find(each => (high - low) / each <= most) ?? 50
  const levels: number[] = []
  for (let level = Math.ceil(low / step) * step; level <= high; level += step) levels.push(level)
  return levels
}

/** m; a round length for the scale's mark, at most half a lane */
export const scaleMark = (lane: number, unit: number): number => {
  const most = lane / 2 / unit
  const power = 10 ** Math.floor(Math.log10(most))
  const step = [5, 2, 1].find(each => each * power <= most) ?? 1
  return step * power * unit
}
