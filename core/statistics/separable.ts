import { type LinearFit, linearFit } from './least-squares.js'

/** A model that is linear in its amplitudes once its other parameters are given, fitted to observations. */
export interface SeparableFit {
  /** the parameters in which the model is not linear */
  bent: number[]
  amplitudes: number[]
  /** observation minus fit, unit of the observations */
  residuals: Float64Array
  /** sum of squared residuals */
  squares: number
  /** (JᵀJ)⁻¹ of all parameters, amplitudes first: times the variance of one observation it is their covariance */
  inverse: number[][]
}

/** difference over which slopes are taken, in the parameters' unit: these are logarithms or numbers near 1 */
const width = 1e-5

/** a step as small as this, in the same unit, ends the search */
const enough = 1e-9

/**
 * Nonlinear least squares where amplitudes are linear: variable projection. For each trial of the bent parameters the
 * best amplitudes are exact, so only what is left is searched, by Gauss–Newton steps damped after Levenberg and
 * Marquardt. A step is taken only when it lowers the sum of squares.
 *
 * @param columns what each amplitude is multiplied with, for given bent parameters
 * @param start   bent parameters, of size about 1 (logarithms of time constants)
 * @param low     least of each bent parameter
 * @param high    most of each
 * @returns null where the columns cannot be told apart
 * @see Golub, G. H. & Pereyra, V. (1973), SIAM J. Numer. Anal. 10, 413; Marquardt, D. W. (1963), J. SIAM 11, 431
 */
export const separableFit = (
  columns: (bent: readonly number[]) => Float64Array[],
  observations: ArrayLike<number>,
  start: readonly number[],
  low: readonly number[],
  high: readonly number[],
): SeparableFit | null => {
  const at = (bent: readonly number[]) => linearFit(columns(bent), observations)
  const residualsAt = (bent: readonly number[]) => at(bent)?.residuals
  let bent = start.map((x, i) => Math.min(high[i]!, Math.max(low[i]!, x)))
  let here = at(bent)
  if (!here) return null
  let damping = 1e-3
  let slopes = slopesAt(residualsAt, bent)
  for (let round = 0; slopes && round < 60; round++) {
    const step = dampedStep(slopes, here.residuals, damping)
    if (!step) break
    const tried = bent.map((x, i) => Math.min(high[i]!, Math.max(low[i]!, x + step[i]!)))
    const there = at(tried)
    const moved = Math.max(...tried.map((x, i) => Math.abs(x - bent[i]!)))
    if (there && there.squares < here.squares) {
      bent = tried
      here = there
      damping = Math.max(damping / 10, 1e-15)
      slopes = slopesAt(residualsAt, bent)
    } else damping *= 10
    if (moved < enough) break
  }
  return { ...here, bent, amplitudes: here.coefficients, inverse: wholeInverse(columns, bent, here) }
}

const shifted = (at: readonly number[], i: number, by: number) => at.map((x, k) => (k === i ? x + by : x))

/** Change of what depends on the bent parameters with each of them; null where it cannot be told beside one of them. */
const slopesAt = (of: (bent: readonly number[]) => Float64Array | undefined, bent: readonly number[]) => {
  const slopes: Float64Array[] = []
  for (let i = 0; i < bent.length; i++) {
    const [above, below] = [of(shifted(bent, i, width)), of(shifted(bent, i, -width))]
    if (!above || !below) return null
    slopes.push(above.map((x, k) => (x - below[k]!) / (2 * width)))
  }
  return slopes
}

const dampedStep = (slopes: readonly Float64Array[], residuals: Float64Array, damping: number) => {
  const n = slopes.length
  const longer = slopes.map((slope, i) => {
    const column = new Float64Array(slope.length + n)
    column.set(slope)
    column[slope.length + i] = Math.sqrt(damping) * (Math.hypot(...slope) || 1)
    return column
  })
  const right = new Float64Array(residuals.length + n)
  for (let i = 0; i < residuals.length; i++) right[i] = -residuals[i]!
  return linearFit(longer, right)?.coefficients ?? null
}

/** Of amplitudes and bent parameters together; infinite where a bent parameter changes nothing. */
const wholeInverse = (
  columns: (bent: readonly number[]) => Float64Array[],
  bent: readonly number[],
  { coefficients, residuals }: LinearFit,
): number[][] => {
  const fitted = (at: readonly number[]) => {
    const sum = new Float64Array(residuals.length)
    columns(at).forEach((column, k) => {
      for (let i = 0; i < sum.length; i++) sum[i]! += coefficients[k]! * column[i]!
    })
    return sum
  }
  const all = [...columns(bent), ...slopesAt(fitted, bent)!]
  return linearFit(all, residuals)?.inverse ?? all.map(() => all.map(() => Number.POSITIVE_INFINITY))
}
