import { highest, lowest } from '../../core/statistics/spread.js'

/** What is drawn of a sensor's day. */
interface Drawing {
  /** of an SVG path; gaps where nothing is known, a dash for a half hour that stands alone */
  path: string
  /** the last one known, as drawn */
  end: { x: number; y: number }
  lowest: number
  highest: number
}

/**
 * A small line through values, from left to right and, for what is high, up.
 *
 * @param values °C, null where nothing is known
 * @param size   of the picture; it is filled to its edges
 * @param least  smallest height of the scale in the values' unit, so that the flicker of a still sensor stays flat
 * @returns null when nothing is known
 */
export const drawCourse = (
  values: readonly (number | null)[],
  size: { width: number; height: number },
  least: number,
): Drawing | null => {
  const known = values.filter(value => value !== null)
  if (known.length === 0) return null
  const [low, high] = [lowest(known), highest(known)]
  const span = Math.max(high - low, least)
  const top = (low + high + span) / 2
  const step = size.width / values.length
  const place = (value: number, i: number) => ({
    x: Number(((i + 0.5) * step).toFixed(1)),
    y: Number((((top - value) / span) * size.height).toFixed(1)),
  })
  let path = ''
  let end = { x: 0, y: 0 }
  values.forEach((value, i) => {
    if (value === null) return
    const at = place(value, i)
    const begins = i === 0 || values[i - 1] === null
    const alone = begins && (i === values.length - 1 || values[i + 1] === null)
    path += begins ? `M${at.x} ${at.y}` : `L${at.x} ${at.y}`
    if (alone) path += 'h0.1'
    end = at
  })
  return { path, end, lowest: low, highest: high }
}
