import { type Disturbances, type Evenly, follow, type Speeds } from './identify-model.js'
import { lowest } from './identify-search.js'

/** A model fitted to evenly spaced values. */
export interface Fit {
  data: Evenly
  speeds: Speeds
  disturbances: Disturbances
  /** negative logarithm of the likelihood */
  cost: number
}

/** s; time constant of a part of the node that follows faster than the values can tell */
export const atOnce = 30
/**
 * Natural logarithms of what a fit starts from (in the units of `Disturbances`), and how far in the same logarithms it
 * may ordinarily end from there: a mild prior. Judgement, no source.
 */
const usual = { wander: Math.log(0.1), processNoise: Math.log(0.03), noise: Math.log(0.015), latitude: 3 }
/** part of the reading that a surface sensor usually feels of the air; common practice, no source */
const usualShare = 0.04
/** s; bounds of any time constant */
export const bounds = { shortest: 120, longest: 48 * 3600 }

const speedsOf = (at: readonly number[]): Speeds => ({
  main: Math.exp(at[0]!),
  share: 1 / (1 + Math.exp(-at[1]!)),
  fast: at.length > 5 ? Math.exp(at[5]!) : atOnce,
})
const disturbancesOf = (at: readonly number[]): Disturbances => ({
  wander: Math.exp(at[2]!),
  processNoise: Math.exp(at[3]!),
  noise: Math.exp(at[4]!),
})

const logit = (part: number): number => Math.log(part / (1 - part))

/** Keeps the disturbances within what a shop knows, and the time constants within their bounds. */
const penalty = (at: readonly number[], { main, fast, share }: Speeds): number => {
  const far = (x: number, middle: number) => ((x - middle) / usual.latitude) ** 2 / 2
  if (main > bounds.longest || main < bounds.shortest || fast > main || fast < atOnce || share > 0.95) return 1e9
  return (
    far(at[2]!, usual.wander) +
    far(at[3]!, usual.processNoise) +
    far(at[4]!, usual.noise) +
    far(at[1]!, logit(usualShare))
  )
}

/**
 * Fits the model by maximum likelihood.
 *
 * @param from         speeds to start from; the faster part's time constant is fitted too when `two` is true
 * @param disturbances to start from; null: the usual ones
 */
export function* fitting(
  data: Evenly,
  from: Speeds,
  disturbances: Disturbances | null,
  two = false,
): Generator<void, Fit> {
  const start = [
    Math.log(from.main),
    logit(Math.max(from.share, 0.005)),
    disturbances ? Math.log(disturbances.wander) : usual.wander,
    disturbances ? Math.log(disturbances.processNoise) : usual.processNoise,
    disturbances ? Math.log(disturbances.noise) : usual.noise,
    ...(two ? [Math.log(from.fast)] : []),
  ]
  const cost = (at: readonly number[]) => {
    const speeds = speedsOf(at)
    const outside = penalty(at, speeds)
    return outside >= 1e9 ? outside : outside + follow(data, speeds, disturbancesOf(at))
  }
  const found = yield* lowest(cost, start, [0.3, 0.5, 0.6, 0.6, 0.3, ...(two ? [0.6] : [])], two ? 400 : 300)
  return { data, speeds: speedsOf(found.at), disturbances: disturbancesOf(found.at), cost: found.cost }
}

/** h; around a value over which the wander of the own heat is taken to be alike. Judgement, no source */
const alike = 1
/** factor; least `restlessness`, that of a machine at rest. Judgement, no source */
const calm = 1e-4
/** factor; largest `restlessness`, that of a spindle that starts. Judgement, no source */
const wild = 1e4

/**
 * Restlessness of the own heat at each value, judged anew from a fit: where innovations are larger than expected it was
 * underestimated, and the reverse. A machine at rest counts the more for it, one that starts and stops the less.
 */
const restlessnessAfter = ({ data, speeds, disturbances }: Fit): Float64Array => {
  const squares = new Float64Array(data.node.length).fill(Number.NaN)
  follow(data, speeds, disturbances, ({ index, standardised }) => {
    squares[index] = Math.min(standardised ** 2, 25)
  })
  const reach = Math.max(2, Math.round((alike * 3600) / data.spacing))
  return data.restlessness.map((before, k) => {
    let sum = 0
    let count = 0
    for (let i = Math.max(0, k - reach); i <= Math.min(squares.length - 1, k + reach); i++) {
      if (Number.isNaN(squares[i]!)) continue
      sum += squares[i]!
      count++
    }
    return count > 0 ? Math.min(wild, Math.max(calm, before * (sum / count) ** 2)) : before
  })
}

/** times that a fit is repeated with restlessness judged anew */
const rounds = 3

/** Fits the model, with the restlessness found on the way. */
export function* fittingRestless(data: Evenly, from: Speeds): Generator<void, Fit> {
  let fit = yield* fitting(data, from, null)
  for (let round = 0; round < rounds; round++) {
    const restlessness = restlessnessAfter(fit)
    yield
    fit = yield* fitting({ ...data, restlessness }, fit.speeds, fit.disturbances)
  }
  return fit
}

/**
 * Relative standard error of the main time constant from the scatter of the score over blocks of time ("sandwich"): right
 * also where innovations are not independent or not as the model has them. The fast part's share is left free, too.
 *
 * @param blocks how many, of equal length
 * @returns relative; Infinity where the likelihood has no maximum there
 * @see White, H. (1982), Econometrica 50, 1
 */
export const standardError = (fit: Fit, blocks: number): number => {
  const { data, speeds, disturbances } = fit
  const step = [0.02, 0.05]
  const length = data.node.length / blocks
  const run = (main: number, share: number): Float64Array => {
    const costs = new Float64Array(blocks)
    const moved = {
      ...speeds,
      main: speeds.main * Math.exp(main * step[0]!),
      share: 1 / (1 + Math.exp(-(logit(Math.max(speeds.share, 1e-4)) + share * step[1]!))),
    }
    follow(data, moved, disturbances, ({ index, cost }) => {
      costs[Math.min(blocks - 1, Math.floor(index / length))]! += cost
    })
    return costs
  }
  const sum = (of: Float64Array) => of.reduce((a, b) => a + b, 0)
  const [mm, mp, sm, sp] = [run(-1, 0), run(1, 0), run(0, -1), run(0, 1)]
  const here = sum(run(0, 0))
  const [pp, nn, pn, np] = [sum(run(1, 1)), sum(run(-1, -1)), sum(run(1, -1)), sum(run(-1, 1))]
  const [u, v] = step as [number, number]
  const huu = (sum(mp) + sum(mm) - 2 * here) / u ** 2
  const latitude = 1 / usual.latitude ** 2
  const hvv = (sum(sp) + sum(sm) - 2 * here) / v ** 2 + latitude
  const huv = (pp + nn - pn - np) / (4 * u * v)
  const determinant = huu * hvv - huv ** 2
  if (!(huu > 0) || !(determinant > 0)) return Number.POSITIVE_INFINITY
  // first row of the inverse curvature
  const [r, s] = [hvv / determinant, -huv / determinant]
  let scatter = 0
  for (let b = 0; b < blocks; b++) {
    const score = (r * (mp[b]! - mm[b]!)) / (2 * u) + (s * (sp[b]! - sm[b]!)) / (2 * v)
    scatter += score ** 2
  }
  const sandwich = (scatter * blocks) / Math.max(1, blocks - 2)
  return Math.sqrt(Math.max(sandwich, r))
}
