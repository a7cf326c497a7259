import { highest, lowest } from '../statistics/index.js'

/** How much an axis grows for each kelvin the air changes. */
export interface Sensitivity {
  /** m/K; slope of growth on the air as it was `lag` before */
  slope: number
  /** m/K; standard uncertainty of the slope, with allowance for values that go with their neighbours */
  standardError: number
  /** ms; the lag that fits best */
  lag: number
  /** 0..1; part of the growth's variance that the lagged air explains */
  explained: number
  /** pairs of growth and air */
  pairs: number
}

/** K; with less swing of the air a slope says more about the sensors than about the machine; common practice, no source */
export const leastSwing = 0.5
const leastPairs = 20

interface Line {
  slope: number
  error: number
  explained: number
  pairs: number
}

/** lag-1 autocorrelation of what varies about zero */
const autocorrelation = (of: readonly number[]): number => {
  let own = 0
  let next = 0
  for (let i = 0; i < of.length; i++) {
    own += of[i]! ** 2
    if (i > 0) next += of[i]! * of[i - 1]!
  }
  return own > 0 ? next / own : 0
}

const mean = (of: readonly number[]): number => of.reduce((sum, v) => sum + v, 0) / of.length

/**
 * Least squares of y on x, for series in order of time. The usual standard error holds for independent residuals; those
 * of a drift go with their neighbours, so its square is multiplied by (1 + ρx·ρe)/(1 − ρx·ρe), ρ the lag-1
 * autocorrelations of the regressor and of the residuals.
 */
const line = (x: readonly number[], y: readonly number[]): Line | null => {
  const n = x.length
  if (n < leastPairs) return null
  const mx = mean(x)
  const my = mean(y)
  const dx = x.map(v => v - mx)
  const dy = y.map(v => v - my)
  let xx = 0
  let xy = 0
  let yy = 0
  for (let i = 0; i < n; i++) {
    xx += dx[i]! ** 2
    xy += dx[i]! * dy[i]!
    yy += dy[i]! ** 2
  }
  if (!(xx > 0)) return null
  const slope = xy / xx
  const residuals = dy.map((v, i) => v - slope * dx[i]!)
  const rest = residuals.reduce((sum, v) => sum + v ** 2, 0)
  const together = Math.min(Math.max(autocorrelation(dx) * autocorrelation(residuals), 0), 0.9999)
  const variance = (rest / (n - 2) / xx) * ((1 + together) / (1 - together))
  return { slope, error: Math.sqrt(variance), explained: yy > 0 ? 1 - rest / yy : 0, pairs: n }
}

/**
 * Sensitivity of growth to the air: regression of growth on the air as it was a lag before, with the lag (whole steps,
 * from none to `longestLag`) that explains most. A heavy body answers a slow swing more than a quick one, so the figure
 * holds for changes as slow as those of the period it is taken from.
 *
 * @param growth     m, evenly spaced in time; NaN where nothing is known
 * @param air        °C, of the same moments
 * @param step       ms between moments
 * @param longestLag ms
 * @returns null when fewer than 20 pairs are known or the air swung by less than `leastSwing`
 * @see Draper & Smith, Applied Regression Analysis, chapter 1; Bartlett, M. S. (1935), J. R. Stat. Soc. 98, 536, for
 *   the allowance for neighbours (from memory)
 */
export const sensitivityToAir = (
  growth: readonly number[],
  air: readonly number[],
  step: number,
  longestLag: number,
): Sensitivity | null => {
  const known = air.filter(Number.isFinite)
  if (known.length < leastPairs || highest(known) - lowest(known) < leastSwing) return null
  // a lag needs the air of before the period's beginning, so the growth of all lags tried is that after the longest
  const begin = Math.min(Math.floor(longestLag / step), Math.floor(growth.length / 2))
  let best: (Line & { lag: number }) | null = null
  const stride = Math.max(1, Math.floor(begin / 60))
  for (let shift = 0; shift <= begin; shift += stride) {
    const x: number[] = []
    const y: number[] = []
    for (let i = begin; i < growth.length; i++) {
      if (!Number.isFinite(growth[i]!) || !Number.isFinite(air[i - shift]!)) continue
      x.push(air[i - shift]!)
      y.push(growth[i]!)
    }
    const found = line(x, y)
    if (found && (!best || found.explained > best.explained)) best = { ...found, lag: shift * step }
  }
  return (
    best && {
      slope: best.slope,
      standardError: best.error,
      lag: best.lag,
      explained: best.explained,
      pairs: best.pairs,
    }
  )
}
