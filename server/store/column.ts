import type { BitReader, BitWriter } from './bits.js'

/**
 * A column of numbers, written so that each comes back as the very same double.
 *
 * Numbers that are whole multiples of one step (1/16 K, 0.01 K, 1 ms) become whole numbers; those that are not but
 * repeat themselves (°F turned into °C) become indexes into a list of what occurs; the rest stays as it is. Whole numbers
 * are written as what is left of them, or of their differences, when the usual one is taken away: near zero, and so
 * short in Rice's code (R. F. Rice, "Some practical universal noiseless coding techniques", JPL 79-22, 1979).
 */

/** parts of 1 that a sensor's step can be, finest last; their indexes are written, so they never change */
const scales: readonly number[] = [
  ...Array.from({ length: 25 }, (_, power) => 2 ** power),
  ...Array.from({ length: 8 }, (_, power) => 10 ** (power + 1)),
].sort((a, b) => a - b)

/** whole numbers stay below this, so that differences of differences are still exact */
const largest = 2 ** 48

const kinds = { whole: 0, listed: 1, raw: 2 } as const

/** @returns the coarsest of `scales` by which all values become whole, so that dividing gives them back; none: undefined */
export const scaleOf = (values: Float64Array): number | undefined =>
  scales.find(scale => {
    for (const value of values) {
      const whole = Math.round(value * scale)
      if (whole / scale !== value || Math.abs(whole) > largest || Object.is(value, -0)) return false
    }
    return true
  })

const folded = (value: number): number => (value < 0 ? -2 * value - 1 : 2 * value)
const unfolded = (value: number): number => (value % 2 === 0 ? value / 2 : -(value + 1) / 2)

/** A whole number with its length before it. */
const writeNumber = (out: BitWriter, value: number): void => {
  const rest = folded(value)
  let bits = 0
  while (2 ** bits <= rest) bits += 1
  out.write(bits, 6)
  out.write(rest, bits)
}
const readNumber = (from: BitReader): number => unfolded(from.read(from.read(6)))

/** The middle one of some of the values: enough to find the usual one, and cheap. */
const usual = (values: Float64Array): number => {
  const every = Math.ceil(values.length / 33)
  const some = new Float64Array(Math.ceil(values.length / every))
  for (let index = 0; index < some.length; index += 1) some[index] = values[index * every]!
  return some.sort()[some.length >> 1] ?? 0
}

/** ones in a row after which a number is written in full instead */
const mostOnes = 20
const full = 53

const cost = (rests: Float64Array, low: number): number => {
  const part = 2 ** -low
  let bits = rests.length * (low + 1)
  for (const rest of rests) {
    const ones = Math.floor(rest * part)
    bits += ones < mostOnes ? ones : mostOnes + full - low - 1
  }
  return bits
}

interface Plan {
  /** how often differences were taken */
  order: 0 | 1
  base: number
  /** what is left of each, folded */
  rests: Float64Array
  /** bits of each that are written as they are; null when nothing is left of any */
  low: number | null
  bits: number
}

const plan = (values: Float64Array, order: 0 | 1): Plan => {
  const base = usual(values)
  const rests = values.map(value => folded(value - base))
  if (rests.every(rest => rest === 0)) return { order, base, rests, low: null, bits: 0 }
  const middle = Math.max(0, Math.floor(Math.log2(usual(rests) + 1)) - 1)
  let best = { low: middle, bits: Number.POSITIVE_INFINITY }
  for (let low = middle; low < middle + 4; low += 1) {
    const bits = cost(rests, low)
    if (bits < best.bits) best = { low, bits }
  }
  return { order, base, rests, ...best }
}

const writeWhole = (out: BitWriter, values: Float64Array): void => {
  const differences = values.slice(1)
  for (let index = 0; index < differences.length; index += 1) differences[index] = values[index + 1]! - values[index]!
  const [itself, changes] = [plan(values, 0), plan(differences, 1)]
  const { order, base, rests, low } = changes.bits < itself.bits ? changes : itself
  out.write(order, 1)
  if (order === 1) writeNumber(out, values[0]!)
  writeNumber(out, base)
  out.write(low ?? 63, 6)
  if (low === null) return
  const part = 2 ** low
  for (const rest of rests) {
    const ones = Math.floor(rest / part)
    if (ones < mostOnes) {
      out.write(2 ** (ones + 1) - 2, ones + 1)
      out.write(rest - ones * part, low)
    } else {
      out.write(2 ** mostOnes - 1, mostOnes)
      out.write(rest, full)
    }
  }
}

const readWhole = (from: BitReader, count: number): Float64Array => {
  const values = new Float64Array(count)
  const order = from.read(1)
  if (order === 1) values[0] = readNumber(from)
  const base = readNumber(from)
  const low = from.read(6)
  const part = 2 ** low
  for (let index = order; index < count; index += 1) {
    let value = base
    if (low !== 63) {
      const ones = from.ones(mostOnes)
      value += unfolded(ones < mostOnes ? ones * part + from.read(low) : from.read(full))
    }
    values[index] = order === 1 ? values[index - 1]! + value : value
  }
  return values
}

const writeRaw = (out: BitWriter, values: Float64Array): void => {
  const view = new DataView(new ArrayBuffer(8))
  for (const value of values) {
    view.setFloat64(0, value)
    out.write(view.getUint32(0), 32)
    out.write(view.getUint32(4), 32)
  }
}
const readRaw = (from: BitReader, count: number): Float64Array => {
  const view = new DataView(new ArrayBuffer(8))
  return Float64Array.from({ length: count }, () => {
    view.setUint32(0, from.read(32))
    view.setUint32(4, from.read(32))
    return view.getFloat64(0)
  })
}

/** @param values one at least; finite */
export const writeColumn = (out: BitWriter, values: Float64Array): void => {
  const scale = scaleOf(values)
  if (scale !== undefined) {
    out.write(kinds.whole, 2)
    out.write(scales.indexOf(scale), 6)
    writeWhole(out, scale === 1 ? values : values.map(value => Math.round(value * scale)))
    return
  }
  const listed = new Float64Array(new Set(values)).sort()
  // a list cannot tell the two zeros apart
  if (listed.length > values.length / 2 || values.some(value => Object.is(value, -0))) {
    out.write(kinds.raw, 2)
    writeRaw(out, values)
    return
  }
  const indexes = new Map<number, number>()
  for (const [index, value] of listed.entries()) indexes.set(value, index)
  out.write(kinds.listed, 2)
  writeNumber(out, listed.length)
  writeRaw(out, listed)
  writeWhole(
    out,
    values.map(value => indexes.get(value)!),
  )
}

/** @throws Error when it is not what `writeColumn` wrote */
export const readColumn = (from: BitReader, count: number): Float64Array => {
  const kind = from.read(2)
  if (kind === kinds.whole) {
    const scale = scales[from.read(6)]
    const values = readWhole(from, count)
    if (scale !== 1) for (let index = 0; index < count; index += 1) values[index] = values[index]! / scale!
    return values
  }
  if (kind === kinds.raw) return readRaw(from, count)
  if (kind !== kinds.listed) throw new Error(`The block has a column of an unknown kind (${kind}).`)
  const listed = readRaw(from, readNumber(from))
  return readWhole(from, count).map(index => listed[index]!)
}
