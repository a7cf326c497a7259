/** Probability of a yes over a quantity: 1 ÷ (1 + e^−(intercept + slope·x)). */
interface LogisticFit {
  /** without unit: logarithm of the odds where x is 0 */
  intercept: number
  /** 1 per unit of x */
  slope: number
  /** standard errors; without meaning where `penalised` */
  interceptError: number
  slopeError: number
  /** of intercept and slope; without meaning where `penalised` */
  covariance: number
  /** −2 log likelihood: of the fit, and of one probability for all */
  deviance: number
  nullDeviance: number
  /** yes and no lie on different sides, so that the ordinary fit has no end: Firth's penalty was used */
  penalised: boolean
}

interface State {
  intercept: number
  slope: number
  information: [number, number, number]
  deviance: number
}

const probabilityAt = (x: number, intercept: number, slope: number): number =>
  1 / (1 + Math.exp(-(intercept + slope * x)))

const logLikelihood = (yes: boolean, at: number): number => -Math.log1p(Math.exp(yes ? -at : at))

/** x lies wholly apart, or apart but for one value that both have */
const isSeparated = (x: readonly number[], yes: readonly boolean[]): boolean => {
  const [ones, zeros] = [x.filter((_, i) => yes[i]), x.filter((_, i) => !yes[i])]
  return Math.min(...ones) >= Math.max(...zeros) || Math.max(...ones) <= Math.min(...zeros)
}

const step = (
  x: readonly number[],
  yes: readonly boolean[],
  { intercept, slope }: Pick<State, 'intercept' | 'slope'>,
  penalised: boolean,
): State & { by: [number, number] } => {
  const fitted = x.map(each => probabilityAt(each, intercept, slope))
  const weights = fitted.map(p => p * (1 - p))
  let [i00, i01, i11] = [0, 0, 0]
  x.forEach((each, i) => {
    i00 += weights[i]!
    i01 += weights[i]! * each
    i11 += weights[i]! * each * each
  })
  const determinant = i00 * i11 - i01 * i01
  let [s0, s1, deviance] = [0, 0, 0]
  x.forEach((each, i) => {
    const leverage = (weights[i]! * (i11 - 2 * i01 * each + i00 * each * each)) / determinant
    const residual = Number(yes[i]) - fitted[i]! + (penalised ? leverage * (0.5 - fitted[i]!) : 0)
    s0 += residual
    s1 += residual * each
    deviance -= 2 * logLikelihood(yes[i]!, intercept + slope * each)
  })
  return {
    intercept,
    slope,
    information: [i00, i01, i11],
    deviance,
    by: [(i11 * s0 - i01 * s1) / determinant, (i00 * s1 - i01 * s0) / determinant],
  }
}

/**
 * Logistic regression on one quantity, by iterated weighted least squares. Where yes and no are separated, maximum likelihood
 * is at infinity; there the likelihood is penalised by the information (Jeffreys' prior), which always has an end.
 *
 * @param x   any unit
 * @param yes same length
 * @returns null when all answers or all x are alike
 * @see McCullagh, P. & Nelder, J. A. (1989), Generalized Linear Models, 4.4; Firth, D. (1993), Biometrika 80, 27
 */
export const logisticFit = (x: readonly number[], yes: readonly boolean[]): LogisticFit | null => {
  const count = yes.filter(Boolean).length
  const n = x.length
  const middle = x.reduce((sum, each) => sum + each, 0) / n
  const width = Math.sqrt(x.reduce((sum, each) => sum + (each - middle) ** 2, 0) / n)
  if (count === 0 || count === n || !(width > 0)) return null
  // about 1 in size, so that the arithmetic is the same whatever the unit
  const scaled = x.map(each => (each - middle) / width)
  const penalised = isSeparated(scaled, yes)
  const share = count / n
  let at = step(scaled, yes, { intercept: Math.log(share / (1 - share)), slope: 0 }, penalised)
  const nullDeviance = at.deviance
  for (let round = 0; round < 200; round++) {
    // no step is longer than 2: a full one can overshoot for good
    const longest = Math.max(1, ...at.by.map(by => Math.abs(by) / 2))
    const moved: [number, number] = [at.by[0] / longest, at.by[1] / longest]
    at = step(scaled, yes, { intercept: at.intercept + moved[0], slope: at.slope + moved[1] }, penalised)
    if (Math.max(Math.abs(moved[0]), Math.abs(moved[1])) < 1e-12) break
  }
  const [i00, i01, i11] = at.information
  const determinant = i00 * i11 - i01 * i01
  const [v0, v01, v1] = [i11 / determinant, -i01 / determinant, i00 / determinant]
  const back = middle / width
  return {
    intercept: at.intercept - at.slope * back,
    slope: at.slope / width,
    interceptError: Math.sqrt(v0 - 2 * back * v01 + back * back * v1),
    slopeError: Math.sqrt(v1) / width,
    covariance: (v01 - back * v1) / width,
    deviance: at.deviance,
    nullDeviance,
    penalised,
  }
}
