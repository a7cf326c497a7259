/**
 * A local level: a random walk read with noise. Its likelihood tells how fast the level walks and how noisy the readings
 * are; its smoother gives the level behind them.
 *
 * @see Durbin, J. & Koopman, S. J. (2012), Time Series Analysis by State Space Methods, 2nd ed., chapter 2
 */
export interface LocalLevel {
  /** K²; variance of the readings about the level */
  noise: number
  /** K²; variance of the level's change from one reading to the next */
  walk: number
}

/** walk over noise; a temperature's five-minute means lie well within */
const ratios = Array.from({ length: 25 }, (_, i) => 10 ** (-3 + i / 4))

/** Negative logarithm of the likelihood with the scale concentrated out, and that scale (the noise's variance). */
const concentrated = (values: ArrayLike<number>, ratio: number): { cost: number; noise: number } => {
  let level = Number.NaN
  let variance = 0
  let squares = 0
  let logs = 0
  let count = 0
  for (let i = 0; i < values.length; i++) {
    const value = values[i]!
    variance += ratio
    if (Number.isNaN(value)) continue
    if (Number.isNaN(level)) {
      level = value
      variance = 1
      continue
    }
    const spread = variance + 1
    const innovation = value - level
    squares += innovation ** 2 / spread
    logs += Math.log(spread)
    count++
    level += (variance / spread) * innovation
    variance /= spread
  }
  if (count === 0) return { cost: Number.POSITIVE_INFINITY, noise: 0 }
  const noise = squares / count
  return { cost: (count * Math.log(Math.max(noise, 1e-12)) + logs) / 2, noise }
}

/**
 * Noise and walk of evenly spaced readings, by maximum likelihood over a grid of their ratio.
 *
 * @param values °C; NaN where nothing is known
 */
export const localLevel = (values: ArrayLike<number>): LocalLevel => {
  let best = { cost: Number.POSITIVE_INFINITY, noise: 0, ratio: 1 }
  for (const ratio of ratios) {
    const { cost, noise } = concentrated(values, ratio)
    if (cost < best.cost) best = { cost, noise, ratio }
  }
  return { noise: best.noise, walk: best.ratio * best.noise }
}

/**
 * The level behind evenly spaced readings (Rauch–Tung–Striebel). Gaps are bridged; the caller decides how long a bridge
 * is believed.
 *
 * In a fit that takes this for the true input, the error left is one about the smoothed value (Berkson's), which does not
 * bias the slope to first order, while an error of the reading about the truth would.
 *
 * @param values °C; NaN where nothing is known
 * @see Carroll, R. J. et al. (2006), Measurement Error in Nonlinear Models, 2nd ed., chapter 4 (regression calibration)
 */
export const smoothedLevel = (values: ArrayLike<number>, { noise, walk }: LocalLevel): Float64Array => {
  const n = values.length
  const level = new Float64Array(n)
  const variance = new Float64Array(n)
  let at = Number.NaN
  let v = 0
  for (let i = 0; i < n; i++) {
    const value = values[i]!
    v += walk
    if (!Number.isNaN(value)) {
      if (Number.isNaN(at)) {
        at = value
        v = noise
      } else {
        const gain = v / (v + noise || 1)
        at += gain * (value - at)
        v *= 1 - gain
      }
    }
    level[i] = at
    variance[i] = v
  }
  for (let i = n - 2; i >= 0; i--) {
    if (Number.isNaN(level[i]!)) {
      level[i] = level[i + 1]!
      continue
    }
    const back = variance[i]! / (variance[i]! + walk || 1)
    level[i] = level[i]! + back * (level[i + 1]! - level[i]!)
  }
  return level
}
