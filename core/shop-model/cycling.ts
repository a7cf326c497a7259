import { linearFit } from '../statistics/least-squares.js'
import { falseAlarmProbability, periodogram } from '../statistics/periodogram.js'
import type { Cycle } from './answer.js'
import { meanOf, memoryOf } from './known.js'
import type { MachineOverSpan } from './machine-effects.js'

/** s; the longest period that counts as cycling and not as a part of the day; the shortest is two intervals */
const longest = 4 * 3600
/** how finely periods are looked at: of the resolution of the span. Judgement */
const oversampling = 2
/** 0..1; a period of this false-alarm probability, or less, is there. Judgement */
const sure = 0.001
const most = 3
/** a peak this near another one, relative to its period, is the same */
const near = 0.15
/** values; fewer show no cycles. Judgement */
const fewestValues = 144
/** values that are looked at; of a longer span the last ones, for each period costs all of them */
const mostValues = 2016

/**
 * The dominant periods of the air at a machine, and how much of each reaches its bodies. What the air keeps from interval to
 * interval is taken out first: Scargle's probability is of white noise, and air is not white.
 *
 * @param begin index of the first interval
 * @returns null where too little is known
 * @see Scargle, J. D. (1982), Astrophys. J. 263, 835; part that reaches a body: first order, 1 ÷ √(1 + (2πτ/P)²)
 */
export const cycles = ({ nodes }: MachineOverSpan, spacing: number, begin: number): Cycle[] | null => {
  const air = nodes.find(({ kind }) => kind === 'air')
  if (!air) return null
  const values = air.temperature.subarray(Math.max(begin, air.temperature.length - mostValues))
  const middle = meanOf(values)
  const memory = Math.min(1, memoryOf(values.map(value => value - middle)))
  const times: number[] = []
  const fresh: number[] = []
  for (let i = 1; i < values.length; i++) {
    const value = values[i]! - memory * values[i - 1]!
    if (Number.isNaN(value)) continue
    times.push(i * spacing)
    fresh.push(value)
  }
  if (times.length < fewestValues) return null
  const span = times.at(-1)! - times[0]!
  const [fastest, slowest] = [1 / (2 * spacing), Math.max(1 / longest, 3 / span)]
  const count = Math.floor((fastest - slowest) * span * oversampling)
  const periods = Array.from({ length: count }, (_, k) => 1 / (slowest + ((k + 0.5) * (fastest - slowest)) / count))
  const powers = periodogram(times, fresh, periods).sort((a, b) => b.power - a.power)
  const found: Cycle[] = []
  for (const { period, power } of powers) {
    const chance = falseAlarmProbability(power, count / oversampling)
    if (chance > sure || found.length >= most) break
    if (found.some(other => Math.abs(other.period / period - 1) < near)) continue
    const amplitude = amplitudeOf(times, fresh, memory, spacing, period)
    found.push({
      period,
      amplitude,
      chance,
      reaches: nodes.flatMap(({ id, name, kind, follows, timeConstant }) => {
        if (kind !== 'body' || follows !== air.id) return []
        const part = 1 / Math.hypot(1, (2 * Math.PI * timeConstant) / period)
        return [{ node: id, name, part, amplitude: part * amplitude }]
      }),
    })
  }
  return found.sort((a, b) => b.amplitude - a.amplitude)
}

/**
 * Half of the swing with a period, K: least squares on the air freed of its memory, made good for what that and the means' width
 * take from it.
 */
const amplitudeOf = (
  times: readonly number[],
  fresh: readonly number[],
  memory: number,
  spacing: number,
  period: number,
): number => {
  const angles = times.map(time => (2 * Math.PI * time) / period)
  const fit = linearFit([Float64Array.from(angles, Math.cos), Float64Array.from(angles, Math.sin)], fresh)
  if (!fit) return 0
  const step = (2 * Math.PI * spacing) / period
  const left = Math.hypot(1 - memory * Math.cos(step), memory * Math.sin(step))
  return (Math.hypot(...fit.coefficients) / left) * (step / 2 / Math.sin(step / 2))
}
