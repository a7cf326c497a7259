import { linearFit } from '../statistics/least-squares.js'
import { type SeparableFit, separableFit } from '../statistics/separable.js'
import type { GrowthTest } from './growth-test.js'
import { cold, heats, type Law, leastRatio, logOf, longer, partsAfter, spindleOf, type Variation } from './law.js'

/** What is fitted to: the test, sorted out once. */
export interface Prepared {
  steps: GrowthTest['steps']
  /** s; when each step began */
  begun: number[]
  /** 1/s; speeds other than rest, rising */
  speeds: number[]
  /** s since the first step began, of each reading that is used */
  at: number[]
  /** index of the step in which each was read */
  step: number[]
  /** m; each reading */
  growth: Float64Array
  /** square roots of the readings' weights */
  weights: Float64Array
}

/** One form of the law, fitted. */
export interface Candidate {
  parts: 1 | 2
  /** amplitudes in m, residuals in m times the square roots of the weights */
  fit: SeparableFit
  law: Law
  /** m; zero of the indicator: what it would have read on the cold spindle */
  zero: number
}

/** s; no part of a spindle is believed to follow faster. Judgement, no source */
const shortest = 20
/** lengths of the test; no part is believed to follow more slowly. Judgement, no source */
const longestLengths = 5
/** natural logarithm of the factor by which a time constant may differ by direction or speed. Judgement, no source */
const mostLonger = Math.log(4)

/** For each part and step whether the part grows in it. */
type Directions = boolean[][]

/** First guess: a part grows when the speed does. */
const bySpeed = ({ steps }: Prepared, parts: number): Directions => {
  const rising = steps.map(({ speed }, i) => speed >= (steps[i - 1]?.speed ?? 0))
  return new Array(parts).fill(rising)
}

/** Whether each part in fact grows in each step, by a fitted law. */
const directionsOf = ({ steps }: Prepared, law: Law): Directions => {
  const spindle = spindleOf(law)
  let state = cold(spindle)
  const rows = steps.map(({ speed, duration }) => {
    const before = state
    state = partsAfter(spindle, state, speed, duration)
    return before.map((x, part) => heats(x, spindle.target(part, speed)))
  })
  return law.shares.map((_, part) => rows.map(row => row[part]!))
}

/** Shares of the parts: the first one's stands behind the logarithms. */
const sharesOf = (bent: readonly number[], parts: number): number[] =>
  parts === 1 ? [1] : [bent.at(-1)!, 1 - bent.at(-1)!]

/**
 * For given logarithms and shares, a column of ones for the zero, then one for each speed: the growth at each reading if its
 * steady growth were 1 and that of the others 0.
 */
const columnsOf = (prepared: Prepared, parts: 1 | 2, variation: Variation, directions: Directions) => {
  const { steps, begun, speeds, at, step, weights } = prepared
  const width = speeds.length
  const towards = steps.map(({ speed }) => speeds.indexOf(speed))
  const vary = directions.map(rising =>
    steps.map(({ speed }, i) => longer(variation, rising[i]!, speed / speeds.at(-1)!)),
  )
  return (bent: readonly number[]): Float64Array[] => {
    const columns = speeds.map(() => new Float64Array(at.length))
    sharesOf(bent, parts).forEach((share, part) => {
      const state = new Float64Array(width)
      let reading = 0
      steps.forEach(({ duration }, j) => {
        const tau = Math.exp(logOf(bent, part, parts, vary[part]![j]!))
        for (; reading < at.length && step[reading] === j; reading++) {
          const left = Math.exp(-(at[reading]! - begun[j]!) / tau)
          for (let s = 0; s < width; s++)
            columns[s]![reading]! += share * weights[reading]! * (state[s]! * left + (s === towards[j] ? 1 - left : 0))
        }
        const left = Math.exp(-duration / tau)
        for (let s = 0; s < width; s++) state[s] = state[s]! * left + (s === towards[j] ? 1 - left : 0)
      })
    })
    return [Float64Array.from(weights), ...columns]
  }
}

const lawOf = ({ speeds }: Prepared, parts: 1 | 2, variation: Variation, fit: SeparableFit): Law => ({
  speeds,
  steady: fit.amplitudes.slice(1),
  shares: sharesOf(fit.bent, parts),
  variation,
  logs: parts === 1 ? fit.bent : fit.bent.slice(0, -1),
})

const observed = ({ growth, weights }: Prepared) => growth.map((y, i) => y * weights[i]!)

/** Bent parameters to start from: time constants evenly spread in their logarithms, those with the least squares first. */
const startsOf = (prepared: Prepared, parts: 1 | 2, columns: (bent: readonly number[]) => Float64Array[]) => {
  const end = prepared.begun.at(-1)! + prepared.steps.at(-1)!.duration
  const grid = Array.from({ length: 8 }, (_, i) => Math.log(shortest * 2) + (i / 7) * Math.log(end / (shortest * 2)))
  const pairs = grid.flatMap((x, i) => grid.slice(i + 1).map(y => [x, Math.max(y - x, Math.log(leastRatio)), 0.3]))
  const observations = observed(prepared)
  return (parts === 1 ? grid.map(x => [x]) : pairs)
    .flatMap(bent => {
      const fit = linearFit(columns(bent), observations)
      return fit ? [{ bent, squares: fit.squares }] : []
    })
    .sort((a, b) => a.squares - b.squares)
    .slice(0, 2)
    .map(({ bent }) => bent)
}

/**
 * Fits one form of the law to readings.
 *
 * @param from bent parameters to start from; looked for over a grid where none are given
 * @returns null when the readings cannot tell the speeds' growth apart, or are too few
 */
export const fitCandidate = (
  prepared: Prepared,
  parts: 1 | 2,
  variation: Variation,
  from: readonly (readonly number[])[] = [],
): Candidate | null => {
  const end = prepared.begun.at(-1)! + prepared.steps.at(-1)!.duration
  const [least, most] = [Math.log(shortest), Math.log(longestLengths * end)]
  // in the order of the bent parameters: logarithms as a law has them, then the share
  const bounds = [
    [least, most],
    ...(parts === 2 ? [[Math.log(leastRatio), most - least]] : []),
    ...(variation === 'alike' ? [] : [[-mostLonger, mostLonger]]),
    ...(parts === 2 ? [[-0.5, 1]] : []),
  ]
  // an information criterion needs at least two more readings than parameters, the scatter counted among them
  if (prepared.at.length < 1 + prepared.speeds.length + bounds.length + 4) return null
  const [lows, highs] = [bounds.map(([low]) => low!), bounds.map(([, high]) => high!)]
  const observations = observed(prepared)
  let directions = bySpeed(prepared, parts)
  const search = (starts: readonly (readonly number[])[]): SeparableFit | null => {
    const columns = columnsOf(prepared, parts, variation, directions)
    const fits = starts.map(start => separableFit(columns, observations, start, lows, highs))
    return fits.reduce((best, fit) => (fit && (!best || fit.squares < best.squares) ? fit : best), null)
  }
  const starts = from.length > 0 ? from : startsOf(prepared, parts, columnsOf(prepared, parts, 'alike', directions))
  let fit = search(starts)
  for (let round = 0; fit && variation === 'by direction' && round < 6; round++) {
    const next = directionsOf(prepared, lawOf(prepared, parts, variation, fit))
    if (JSON.stringify(next) === JSON.stringify(directions)) break
    directions = next
    fit = search([fit.bent])
  }
  return fit && { parts, fit, law: lawOf(prepared, parts, variation, fit), zero: fit.amplitudes[0]! }
}
