import type { Readings, Summary } from './block.js'
import { scaleOf } from './column.js'

/** The summaries kept beside the readings, finest first. Widths in ms. */
export const minuteWidth = 60_000
export const quarterHourWidth = 900_000

/**
 * Count, sum, min and max of the readings of each interval that has any.
 *
 * @param width ms
 */
export const summarised = ({ at, value }: Pick<Readings, 'at' | 'value'>, width: number): Summary[] => {
  const rows: Summary[] = []
  let row: Summary | undefined
  for (let index = 0; index < at.length; index += 1) {
    const time = at[index]!
    const read = value[index]!
    if (!row || time >= row[0] + width) {
      row = [time - (time % width), 1, read, read, read]
      rows.push(row)
      continue
    }
    row[1] += 1
    row[2] += read
    if (read < row[3]) row[3] = read
    if (read > row[4]) row[4] = read
  }
  return rows
}

/**
 * Summaries of longer intervals.
 *
 * @param rows in order of time, of intervals that `width` (ms) is a multiple of
 */
export const rolledUp = (rows: readonly Summary[], width: number): Summary[] => {
  const longer: Summary[] = []
  let row: Summary | undefined
  for (const [at, count, sum, min, max] of rows) {
    if (!row || at >= row[0] + width) {
      row = [at - (at % width), count, sum, min, max]
      longer.push(row)
      continue
    }
    row[1] += count
    row[2] += sum
    if (min < row[3]) row[3] = min
    if (max > row[4]) row[4] = max
  }
  return longer
}

/** The summaries of both together. @param a in order of time, as is `b`; neither is changed */
export const addedUp = (a: readonly Summary[], b: readonly Summary[]): readonly Summary[] => {
  if (b.length === 0) return a
  if (a.length === 0) return b
  const rows: Summary[] = []
  for (let i = 0, j = 0; i < a.length || j < b.length; ) {
    const [left, right] = [a[i], b[j]]
    if (!right || (left && left[0] < right[0])) {
      rows.push(left!)
      i += 1
    } else if (!left || right[0] < left[0]) {
      rows.push(right)
      j += 1
    } else {
      const [at, count, sum, min, max] = left
      rows.push([at, count + right[1], sum + right[2], Math.min(min, right[3]), Math.max(max, right[4])])
      i += 1
      j += 1
    }
  }
  return rows
}

/**
 * Takes from the sums what adding has rounded: values in steps of 0.01 K have a sum in steps of 0.01 K. It is nearer the
 * truth and takes fewer bytes.
 */
export const withoutRounding = (rows: readonly Summary[]): Summary[] => {
  const scale = scaleOf(Float64Array.from(rows.flatMap(([, , , min, max]) => [min, max])))
  return rows.map(row => {
    if (scale === undefined) return row
    const [at, count, sum, min, max] = row
    const near = Math.round(sum * scale) / scale
    const rounding = 1e-15 * count * Math.max(Math.abs(min), Math.abs(max))
    return Math.abs(near - sum) <= rounding * count ? [at, count, near, min, max] : row
  })
}
