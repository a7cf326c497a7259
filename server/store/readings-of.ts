import type { Readings } from './block.js'

export const noReadings: Readings = {
  at: new Float64Array(0),
  value: new Float64Array(0),
  delay: new Float64Array(0),
}

/** index of the first reading whose time is `time` or later */
export const indexFrom = (at: Float64Array, time: number): number => {
  let low = 0
  let high = at.length
  while (low < high) {
    const middle = (low + high) >> 1
    if (at[middle]! < time) low = middle + 1
    else high = middle
  }
  return low
}

/** those with from <= at < to */
export const within = (readings: Readings, from: number, to: number): Readings => {
  const [begin, end] = [indexFrom(readings.at, from), indexFrom(readings.at, to)]
  const { at, value, delay } = readings
  if (begin === 0 && end === at.length) return readings
  return { at: at.subarray(begin, end), value: value.subarray(begin, end), delay: delay.subarray(begin, end) }
}

/** Both together in order of time; where both have a time the reading of `a` stands. */
export const joined = (a: Readings, b: Readings): Readings => {
  if (b.at.length === 0) return a
  if (a.at.length === 0) return b
  const most = a.at.length + b.at.length
  const [at, value, delay] = [new Float64Array(most), new Float64Array(most), new Float64Array(most)]
  let length = 0
  const take = (from: Readings, index: number) => {
    at[length] = from.at[index]!
    value[length] = from.value[index]!
    delay[length] = from.delay[index]!
    length += 1
  }
  for (let i = 0, j = 0; i < a.at.length || j < b.at.length; ) {
    const left = a.at[i] ?? Number.POSITIVE_INFINITY
    const right = b.at[j] ?? Number.POSITIVE_INFINITY
    if (left <= right) {
      take(a, i)
      i += 1
      if (left === right) j += 1
    } else {
      take(b, j)
      j += 1
    }
  }
  return length === most
    ? { at, value, delay }
    : { at: at.slice(0, length), value: value.slice(0, length), delay: delay.slice(0, length) }
}
