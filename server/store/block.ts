import { BitReader, BitWriter } from './bits.js'
import { readColumn, scaleOf, writeColumn } from './column.js'

/**
 * The bytes of a block: its version, how many, then column after column (column.ts). A reader knows every version that
 * was ever written; a change of the bytes is a new version.
 */
const version = 1

/** Readings of one sensor in order of time, each time once. */
export interface Readings {
  /** ms since 1970 */
  at: Float64Array
  /** as measured */
  value: Float64Array
  /** ms from `at` to its arrival */
  delay: Float64Array
}

/** at (ms, the beginning), count, sum, min, max of the readings in an interval */
export type Summary = [at: number, count: number, sum: number, min: number, max: number]

const begin = (count: number): BitWriter => {
  const out = new BitWriter()
  out.write(version, 8)
  out.write(count, 32)
  return out
}

const open = (bytes: Uint8Array): { from: BitReader; count: number } => {
  const from = new BitReader(bytes)
  const written = from.read(8)
  if (written !== version)
    throw new Error(`A block of stored readings has the version ${written}, which this program does not know.`)
  const count = from.read(32)
  // no block is larger than this; a damaged one could claim any size
  if (count > 64 * bytes.length + 4e6) throw new Error('A block of stored readings is damaged.')
  return { from, count }
}

const shifted = (values: Float64Array, by: number): Float64Array => {
  for (let index = 0; index < values.length; index += 1) values[index] = values[index]! + by
  return values
}

/** @param start ms, whole; times are written from it on */
export const encodeReadings = ({ at, value, delay }: Readings, start: number): Buffer => {
  const out = begin(at.length)
  writeColumn(out, shifted(at.slice(), -start))
  writeColumn(out, value)
  writeColumn(out, delay)
  return out.finish()
}

/**
 * @param start as it was given to `encodeReadings`
 * @throws Error when the bytes are no block
 */
export const decodeReadings = (bytes: Uint8Array, start: number): Readings => {
  const { from, count } = open(bytes)
  const at = shifted(readColumn(from, count), start)
  const value = readColumn(from, count)
  const delay = readColumn(from, count)
  from.assertWithin()
  return { at, value, delay }
}

/** As `decodeReadings`, only the times. */
export const decodeTimes = (bytes: Uint8Array, start: number): Float64Array => {
  const { from, count } = open(bytes)
  return shifted(readColumn(from, count), start)
}

const columnOf = (rows: readonly Summary[], field: 0 | 1 | 2 | 3 | 4): Float64Array => {
  const values = new Float64Array(rows.length)
  for (let index = 0; index < values.length; index += 1) values[index] = rows[index]![field]
  return values
}

/**
 * A sum is written as what it is above count × min, in steps of all values in the block: that is little. Where it does
 * not come back exactly so, sums are written as they are.
 *
 * @param rows in order of time
 * @param start ms; the beginning of an interval
 * @param width ms of each interval
 */
export const encodeSummaries = (rows: readonly Summary[], start: number, width: number): Buffer => {
  const out = begin(rows.length)
  const sums = columnOf(rows, 2)
  const [least, most] = [columnOf(rows, 3), columnOf(rows, 4)]
  writeColumn(
    out,
    columnOf(rows, 0).map(at => (at - start) / width),
  )
  writeColumn(out, columnOf(rows, 1))
  writeColumn(out, least)
  writeColumn(out, most)
  const scale = scaleOf(Float64Array.of(...sums, ...least)) ?? 1
  const above = sums.map((sum, index) => Math.round(sum * scale) - rows[index]![1] * Math.round(least[index]! * scale))
  const exact = rows.every((row, index) => Object.is(sumOf(above[index]!, row[1], row[3], scale), row[2]))
  out.write(exact ? 1 : 0, 1)
  if (exact) writeColumn(out, Float64Array.of(scale))
  writeColumn(out, exact ? above : sums)
  return out.finish()
}

const sumOf = (above: number, count: number, least: number, scale: number): number =>
  (above + count * Math.round(least * scale)) / scale

/**
 * @param start as it was given to `encodeSummaries`, as is `width`
 * @throws Error when the bytes are no block
 */
export const decodeSummaries = (bytes: Uint8Array, start: number, width: number): Summary[] => {
  const { from, count } = open(bytes)
  const at = readColumn(from, count)
  const counts = readColumn(from, count)
  const least = readColumn(from, count)
  const most = readColumn(from, count)
  const scale = from.read(1) === 1 ? readColumn(from, 1)[0]! : null
  const sums = readColumn(from, count)
  from.assertWithin()
  const rows: Summary[] = []
  for (let index = 0; index < count; index += 1) {
    const min = least[index]!
    const sum = scale === null ? sums[index]! : sumOf(sums[index]!, counts[index]!, min, scale)
    rows.push([start + at[index]! * width, counts[index]!, sum, min, most[index]!])
  }
  return rows
}
