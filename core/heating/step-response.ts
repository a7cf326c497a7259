import { linearFit } from '../statistics/least-squares.js'
import { separableFit } from '../statistics/separable.js'

/** Air that drifts in a straight line, and from one moment on approaches another level first order. */
export interface StepResponse {
  /** s; when it began, on the scale of the times given */
  at: number
  /** °C; where it was then */
  from: number
  /** °C; the level it goes to */
  to: number
  /** s */
  timeConstant: number
  /** K; standard deviation of what the fit leaves */
  scatter: number
  /** 0..1; share of the variance that the fit explains */
  explained: number
}

/** s; shortest and longest time constant that is looked for. Judgement, no source */
const shortest = 300
const longest = 48 * 3600
/** s; trial time constants of the first search: a few, a factor of about 3 apart */
const trials = [600, 1800, 5400, 16_200, 48_600]
/** moments that the first search tries as the beginning, about as many over a long course as over a short one */
const starts = 60
/** values; fewer tell nothing of three unknowns and a slope. Judgement, no source */
const leastPoints = 8

/**
 * The level at `at`, the straight line before it (by the hour) and the approach after it, each for an amplitude of 1.
 */
const columnsFor = (times: ArrayLike<number>, at: number, timeConstant: number): Float64Array[] => {
  const n = times.length
  const [level, before, after] = [new Float64Array(n).fill(1), new Float64Array(n), new Float64Array(n)]
  for (let i = 0; i < n; i++) {
    const since = times[i]! - at
    if (since < 0) before[i] = since / 3600
    else after[i] = 1 - Math.exp(-since / timeConstant)
  }
  return [level, before, after]
}

/**
 * When and how quickly the air began to go elsewhere: least squares over that time and the time constant, the levels
 * following exactly.
 *
 * @param times  s, rising
 * @param values °C
 * @returns null where there are too few values, or nothing of this form is in them
 */
export const stepResponse = (times: readonly number[], values: readonly number[]): StepResponse | null => {
  const n = times.length
  if (n < leastPoints) return null
  const [first, last] = [times[0]!, times[n - 1]!]
  let best: { squares: number; at: number; timeConstant: number } | null = null
  // at least two values lie on either side of the time
  const every = Math.ceil(n / starts)
  for (const at of times.slice(2, -2).filter((_, i) => i % every === 0))
    for (const timeConstant of trials) {
      const fit = linearFit(columnsFor(times, at, timeConstant), values)
      if (fit && !(fit.squares >= (best?.squares ?? Number.POSITIVE_INFINITY)))
        best = { squares: fit.squares, at, timeConstant }
    }
  if (!best) return null
  const hours = (at: number) => (at - first) / 3600
  const fit = separableFit(
    ([at, logarithm]) => columnsFor(times, first + at! * 3600, Math.exp(logarithm!)),
    values,
    [hours(best.at), Math.log(best.timeConstant)],
    [hours(times[1]!), Math.log(shortest)],
    [hours(times[n - 2]!), Math.log(Math.min(longest, 4 * (last - first)))],
  )
  if (!fit) return null
  const mean = values.reduce((sum, value) => sum + value, 0) / n
  const variance = values.reduce((sum, value) => sum + (value - mean) ** 2, 0)
  const [from, , change] = fit.amplitudes
  return {
    at: first + fit.bent[0]! * 3600,
    from: from!,
    to: from! + change!,
    timeConstant: Math.exp(fit.bent[1]!),
    scatter: Math.sqrt(fit.squares / Math.max(n - 5, 1)),
    explained: variance > 0 ? 1 - fit.squares / variance : 0,
  }
}
