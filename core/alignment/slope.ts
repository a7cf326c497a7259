import { type Parsed, parseLength } from '../units.js'

const remedy =
  'write it with its unit, as 0.02 mm/m, 15 µm/m, 0.0005 in/ft, or as a length over a length: 12 µm over 300 mm'

/**
 * A slope as levels and squares tell it: a length for a metre or a foot, or over another length.
 *
 * @param text such as `0.02 mm/m`, `0.0005 in/ft`, `12 µm over 300 mm`
 * @returns m/m, or what is wrong with the text
 */
export const parseSlope = (text: string): Parsed<number> => {
  const parts = text.includes(' over ') ? text.split(' over ') : text.split('/')
  if (parts.length !== 2) return { problem: `"${text.trim().slice(0, 40)}" is not a length for a length`, remedy }
  const [rise, run] = parts.map(part => part.trim()) as [string, string]
  const whole = run === 'ft' ? '12 in' : /^[a-z]+$/i.test(run) ? `1 ${run}` : run
  const [high, long] = [parseLength(rise), parseLength(whole)]
  if ('problem' in high) return { problem: high.problem, remedy }
  if ('problem' in long) return { problem: long.problem, remedy }
  if (!(long.value > 0)) return { problem: `"${run}" is no length to measure over`, remedy }
  return { value: high.value / long.value }
}

/**
 * What was read both ways round: the surface's own slope, and what the instrument adds, which turns with it.
 *
 * @param one   m/m; read one way round
 * @param other m/m; with the instrument turned end for end, counted in its own direction as before
 * @returns m/m, both
 * @see reversal of a level; common practice, no source
 */
export const bothWays = (one: number, other: number): { value: number; instrument: number } => ({
  value: (one - other) / 2,
  instrument: (one + other) / 2,
})
