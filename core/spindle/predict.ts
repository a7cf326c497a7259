import { studentFactor } from '../statistics/student-t.js'
import type { SpindleModel } from './fit.js'
import type { SpindleStep } from './growth-test.js'
import { cold, growthDuring, type Law, spindleOf, total } from './law.js'

/** Growth expected at a moment, with its standard uncertainty and half of its 90 % band. */
interface ExpectedGrowth {
  /** s since the first step began */
  at: number
  /** m, as are the two below */
  growth: number
  standardUncertainty: number
  halfBand: number
}

/** The law with its figures moved by a vector of the covariance's order. */
const moved = (law: Law, by: readonly number[]): Law => {
  const first = 1 + law.speeds.length
  const share = law.shares.length === 2 ? by.at(-1)! : 0
  return {
    ...law,
    steady: law.steady.map((x, i) => x + by[1 + i]!),
    shares: law.shares.map((x, part) => (part === 0 ? x + share : x - share)),
    logs: law.logs.map((x, i) => x + by[first + i]!),
  }
}

/** Akaike weight; a form as unlikely as this changes nothing */
const negligible = 1e-3

/** The state that another form of the law starts from: the same growth, shared out by its own parts where theirs differ. */
const startFor = ({ shares }: Law, from: readonly number[]): readonly number[] =>
  shares.length === from.length ? from : shares.map(share => share * total(from))

/**
 * Growth over a sequence of speeds, with its uncertainty: of the fit (from its covariance, to first order), of the curve
 * between tested speeds (how far the monotone curve and straight lines are apart, as half of a rectangular distribution:
 * GUM 4.3.7), of which form of the law is right (Buckland, Burnham & Augustin 1997, Biometrics 53, 603), and of what the
 * law does not describe.
 *
 * @param steps  speeds one after another
 * @param times  s since the first began, rising
 * @param start  m; growth of each part at the beginning; cold if not given
 * @returns one for each time; beyond the highest tested speed nothing measured stands behind them
 */
export const predictGrowth = (
  model: SpindleModel,
  steps: readonly SpindleStep[],
  times: readonly number[],
  start?: readonly number[],
): ExpectedGrowth[] => {
  const { law, covariance, misfit, degreesOfFreedom, judged } = model
  const from = start ?? cold(spindleOf(law))
  const grown = (of: Law, straight = false) => growthDuring(spindleOf(of, straight), steps, times, startFor(of, from))
  const likely = grown(law)
  const straight = grown(law, true)
  const variance = likely.map((x, i) => misfit ** 2 + (x - straight[i]!) ** 2 / 3)
  for (const { law: other, weight } of judged) {
    if (weight < negligible) continue
    grown(other).forEach((x, i) => {
      variance[i]! += weight * (x - likely[i]!) ** 2
    })
  }
  for (const column of roots(covariance)) {
    const half = (sign: 1 | -1) => column.map(x => (sign * x) / 2)
    const [above, below] = [grown(moved(law, half(1))), grown(moved(law, half(-1)))]
    times.forEach((_, i) => {
      variance[i]! += (above[i]! - below[i]!) ** 2
    })
  }
  const factor = studentFactor(0.9, degreesOfFreedom)
  return times.map((at, i) => {
    const standardUncertainty = Math.sqrt(variance[i]!)
    return { at, growth: likely[i]!, standardUncertainty, halfBand: factor * standardUncertainty }
  })
}

/** Columns whose products with themselves add up to a covariance: its Cholesky factor. */
const roots = (covariance: readonly (readonly number[])[]): number[][] => {
  const n = covariance.length
  const columns: number[][] = []
  const rest = covariance.map(row => [...row])
  for (let k = 0; k < n; k++) {
    const pivot = rest[k]![k]!
    // what is known exactly, or not at all (infinite), moves nothing here
    if (!(pivot > 0) || !Number.isFinite(pivot)) continue
    const column = rest.map((row, i) => (i < k ? 0 : row[k]! / Math.sqrt(pivot)))
    for (let i = k; i < n; i++) for (let j = k; j < n; j++) rest[i]![j]! -= column[i]! * column[j]!
    columns.push(column)
  }
  return columns
}
