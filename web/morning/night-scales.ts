import type { Night } from '../../core/morning/index.js'

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

/** m; a round length for the scale's mark, at most half a lane */
export const scaleMark = (lane: number, unit: number): number => {
  const most = lane / 2 / unit
  const power = 10 ** Math.floor(Math.log10(most))
  const step = [5, 2, 1].find(each => each * power <= most) ?? 1
  return step * power * unit
}
