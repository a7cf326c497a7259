import { z } from 'zod'
import { highest, lowest } from '../statistics/index.js'

export const sensitivity = z.object({
  slope: z.number().describe('m/K; what a kelvin of the air does that lasts'),
  standardError: z.number().describe('m/K; of the slope, with allowance for values that go with their neighbours'),
  lag: z
    .number()
    .describe('ms; how far growth lags behind air that changes steadily: the time constant that fits best'),
  explained: z
    .number()
    .describe("0..1; part of the growth's variance that the air explains, with what was brought along"),
  pairs: z.number().describe('of growth and air'),
})
/** How much an axis grows for each kelvin the air changes. */
export type Sensitivity = z.infer<typeof sensitivity>

/** K; with less swing of the air a slope says more about the sensors than about the machine; common practice, no source */
const leastSwing = 0.5
/** pairs of growth and air; with fewer nothing is said. Judgement, no source */
const leastPairs = 20

interface Line {
  /** m/K */
  slope: number
  /** m/K; standard error of the slope */
  error: number
  /** m²; sum of squares that it leaves */
  left: number
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
  for (let i = 0; i < n; i++) {
    xx += dx[i]! ** 2
    xy += dx[i]! * dy[i]!
  }
  if (!(xx > 0)) return null
  const slope = xy / xx
  const residuals = dy.map((v, i) => v - slope * dx[i]!)
  const rest = residuals.reduce((sum, v) => sum + v ** 2, 0)
  const together = Math.min(Math.max(autocorrelation(dx) * autocorrelation(residuals), 0), 0.9999)
  const variance = (rest / (n - 2) / xx) * ((1 + together) / (1 - together))
  return { slope, error: Math.sqrt(variance), left: rest, pairs: n }
}

/** Air as a body with this time constant (steps) feels it: followed first order; a gap is waited over. */
const felt = (air: readonly number[], timeConstant: number): number[] => {
  const follows = timeConstant > 0 ? 1 - Math.exp(-1 / timeConstant) : 1
  let level = Number.NaN
  return air.map(t => {
    if (!Number.isFinite(t)) return Number.NaN
    level = Number.isNaN(level) ? t : level + follows * (t - level)
    return level
  })
}

const swing = (of: readonly number[]): number => highest(of) - lowest(of)

/** What is left of values once their part in step with `shape` and their mean are taken out (Frisch, Waugh and Lovell). */
const without = (shape: readonly number[], values: readonly number[]): number[] => {
  const centre = (of: readonly number[]) => {
    const middle = mean(of)
    return of.map(v => v - middle)
  }
  const s = centre(shape)
  const v = centre(values)
  const ss = s.reduce((sum, each) => sum + each * each, 0)
  const part = ss > 0 ? s.reduce((sum, each, i) => sum + each * v[i]!, 0) / ss : 0
  return v.map((each, i) => each - part * s[i]!)
}

/** time constants tried, from none to the longest */
const tried = 60
/** part of the growth's variance that a longer time constant must explain more, to be taken */
const noticeable = 1e-6
/** where the air explains less, the growth came from something else: common practice, no source */
const leastExplained = 0.5

/**
 * Sensitivity of growth to the air: regression of growth on the air as a body feels it that follows it first order, with
 * the time constant (from none to `longestLag`) that explains most. The slope is what a kelvin does that lasts; how far
 * growth lags behind air that changes steadily is the time constant. What the machine brought along into the period, of
 * its work or of earlier air, dies away with the same time constant and is a regressor of its own, so that no hour of the
 * period need be left out.
 *
 * @param growth     m, evenly spaced in time; NaN where nothing is known
 * @param air        °C, of the same moments
 * @param step       ms between moments
 * @param longestLag ms
 * @returns null when fewer than 20 pairs are known, when the air swung by less than `leastSwing`, also as a body feels it,
 *   and when less than half of the growth went with it
 * @see Draper & Smith, Applied Regression Analysis, chapter 1; Bartlett, M. S. (1935), J. R. Stat. Soc. 98, 536, for
 *   the allowance for neighbours (from memory); Lovell, M. C. (1963), J. Am. Stat. Assoc. 58, 993, for the regressor
 *   that is taken out first (from memory)
 */
export const sensitivityToAir = (
  growth: readonly number[],
  air: readonly number[],
  step: number,
  longestLag: number,
): Sensitivity | null => {
  const pairs = growth.flatMap((g, i) => (Number.isFinite(g) && Number.isFinite(air[i]!) ? [i] : []))
  if (pairs.length < leastPairs) return null
  const y = pairs.map(i => growth[i]!)
  const level = mean(y)
  const all = y.reduce((sum, g) => sum + (g - level) ** 2, 0)
  let best: (Line & { lag: number }) | null = null
  for (let k = 0; k <= tried; k++) {
    // denser where they are short
    const timeConstant = (longestLag / step) * (k / tried) ** 2
    const surroundings = felt(air, timeConstant)
    const x = pairs.map(i => surroundings[i]!)
    if (!(swing(x) >= leastSwing)) break
    const brought = pairs.map(i => (timeConstant > 0 ? Math.exp(-i / timeConstant) : 0))
    const found = line(without(brought, x), without(brought, y))
    if (found && (!best || found.left < best.left - noticeable * all)) best = { ...found, lag: timeConstant * step }
  }
  if (!best || best.left > all * (1 - leastExplained)) return null
  return {
    slope: best.slope,
    standardError: best.error,
    lag: best.lag,
    explained: all > 0 ? 1 - best.left / all : 0,
    pairs: best.pairs,
  }
}
