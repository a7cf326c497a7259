import { followedAlone } from '../../core/settling/identify-alone.js'
import type { Identification } from '../../core/settling/index.js'
import type { Series } from '../../server/http/schemas/answers.js'
import type { LinePoint } from '../charts/lines.js'

/** ms; width of the intervals that node and air are brought to, and how much of the past is drawn */
export const interval = 600_000
export const drawn = 4 * 86_400_000

/** Means of several sensors' series on common intervals, °C; NaN where nothing is known. */
export const onIntervals = (series: readonly Series[], from: number, to: number): Float64Array => {
  const length = Math.max(0, Math.ceil((to - from) / interval))
  const sums = new Float64Array(length)
  const counts = new Float64Array(length)
  for (const { points } of series)
    for (const { at, mean, count } of points) {
      const i = Math.floor((at - from) / interval)
      if (i < 0 || i >= length) continue
      sums[i]! += mean * count
      counts[i]! += count
    }
  return sums.map((sum, i) => (counts[i]! > 0 ? sum / counts[i]! : Number.NaN))
}

/** A course on those intervals as a line, each value at its interval's middle. */
export const asLine = (values: Float64Array, from: number): LinePoint[] =>
  Array.from(values, (value, i) => ({ at: from + (i + 0.5) * interval, value }))

/** What the node would read if it followed its surroundings alone, as identified. */
export const fitLine = (
  node: Float64Array,
  air: Float64Array,
  { timeConstant, fastShare, steadyExcess }: Pick<Identification, 'timeConstant' | 'fastShare' | 'steadyExcess'>,
): Float64Array =>
  timeConstant === null
    ? new Float64Array(node.length).fill(Number.NaN)
    : followedAlone(
        Array.from(node, (_, i) => i * interval),
        air,
        node,
        timeConstant,
        fastShare ?? 0,
        steadyExcess ?? 0,
      )
