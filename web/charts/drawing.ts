import type { Scale } from '../../core/format.js'

/** Where a picture begins and ends, ms. */
interface Span {
  from: number
  to: number
}

/** Moments in ms, values in SI, null where nothing is known. */
interface Course {
  at: readonly number[]
  value: readonly (number | null)[]
}

/** the drawing's own units across; it is drawn as wide as its card */
export const wide = 1000

/** @returns where a moment lies across */
export const across = ({ from, to }: Span, at: number): number =>
  wide * Math.min(1, Math.max(0, (at - from) / (to - from || 1)))

const rounded = (value: number): string => value.toFixed(1)

/** Path of a line, broken where nothing is known. @param y from SI to the drawing's units */
export const pathOf = ({ at, value }: Course, span: Span, y: (si: number) => number): string => {
  let path = ''
  let isDrawing = false
  at.forEach((moment, i) => {
    const si = value[i] ?? null
    if (si === null) {
      isDrawing = false
      return
    }
    path += `${isDrawing ? 'L' : 'M'}${rounded(across(span, moment))} ${rounded(y(si))}`
    isDrawing = true
  })
  return path
}

/** Outline of a band. */
export const bandOf = (
  { at, low, high }: { at: readonly number[]; low: readonly number[]; high: readonly number[] },
  span: Span,
  y: (si: number) => number,
): string => {
  if (at.length === 0) return ''
  const point = (moment: number, si: number) => `${rounded(across(span, moment))} ${rounded(y(si))}`
  const up = at.map((moment, i) => point(moment, high[i]!))
  const down = at.map((moment, i) => point(moment, low[i]!)).reverse()
  return `M${[...up, ...down].join('L')}z`
}

/** What an amount in the unit of a scale is in SI; a scale of temperatures does not begin at zero. */
export const toSi = ({ of }: Scale, amount: number): number => (amount - of(0)) / (of(1) - of(0))

/** Levels worth a line and a number: whole steps of the reader's unit. */
export const levelsIn = (low: number, high: number, most = 5): number[] => {
  // 0.5, 1, 2, 5, 10 …: a spindle's speed goes to thousands
  let step = 0.5
  for (let k = 0; (high - low) / step > most; k++) step *= k % 3 === 2 ? 2.5 : 2
  const levels: number[] = []
  for (let level = Math.ceil(low / step) * step; level <= high; level += step) levels.push(level)
  return levels
}
