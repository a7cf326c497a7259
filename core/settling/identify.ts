import { z } from 'zod'
import { numberOrNull } from '../quantities.js'
import { atOnce, bounds, type Fit, fitting, fittingRestless, standardError } from './identify-fit.js'
import { covered63, follow, type Speeds } from './identify-model.js'
import { averaged, evenly, stretches } from './identify-resample.js'
import { type Refusal, refusal } from './refusal.js'

/** What is known before a time constant is identified. */
export interface IdentifyOptions {
  /** s; what the search starts from, 1 h if not given */
  start?: number
  /** K; standard uncertainty of the sensors' noise and resolution in a five-minute mean, 0.02 if not given */
  noise?: number
  /** s; between readings of the slower of the two, where the values are straight lines between them; 300 if not given */
  readEvery?: number
}

/** What was found, or why not. */
export const identified = z.object({
  timeConstant: numberOrNull('s; null when the data do not allow a fit at all'),
  uncertainty: numberOrNull(
    "relative, standard: `standardError`, and what the model's form and the air's noise leave open",
  ),
  standardError: numberOrNull('relative; of the fit alone'),
  steadyExcess: numberOrNull('K; median excess above the surroundings, with it the difference of the sensors'),
  fastShare: numberOrNull(
    "0..1; part of the reading that follows at once: the sensor's own feel of the air, a thin skin",
  ),
  covered63: numberOrNull('s; in which the node with both its speeds covers 63.2 % of a step'),
  hours: z.number().describe('h with values of both the node and what it follows'),
  moved: numberOrNull('K; standard deviation of its movement that the surroundings explain, slower drifts taken off'),
  residualCorrelation: numberOrNull('autocorrelation of the standardised residuals, the largest of lags 1 to 3'),
  refusal: refusal.nullable().describe('why the result must not be used; null when it may'),
  tooLittle: z
    .boolean()
    .describe('refused only because the history tells too little, not because it contradicts the model'),
})
export type Identified = z.infer<typeof identified>

/** s between the values that are worked on */
const spacing = 300
/** hours; with less nothing is said */
const fewestHours = 36
/** K, or times the noise; a node that moved less with its surroundings tells nothing */
const leastMovement = { kelvin: 0.1, noises: 5 }
/** relative; less sure than this a time constant is no better than a configured one */
const largestUncertainty = 0.25
/** natural logarithm; how far the answers for two bands and two speeds may lie apart */
const largestSpread = 0.4
/** residuals more alike than this are not explained; what is less alike the standard error allows for */
const largestCorrelation = 0.6
/**
 * Relative; what one node followed by itself leaves open however long it is watched: parts hang on slower ones, whose
 * pull cannot be told from own heat. From the simulated shop, whose screws cover 63.2 % of a step up to 8 % later than
 * they are found to; common practice gives no figure.
 */
const formUncertainty = 0.06
/** part of the time constant that the band's averaging covers, and its bounds, in values */
const band = { part: 1, narrowest: 1, widest: 6 }

const nothing = (hours: number, refusal: Refusal): Identified => ({
  timeConstant: null,
  uncertainty: null,
  standardError: null,
  steadyExcess: null,
  fastShare: null,
  covered63: null,
  hours,
  moved: null,
  residualCorrelation: null,
  refusal,
  tooLittle: true,
})

/**
 * Identifies the time constant of a node from its history and that of what it follows.
 *
 * Prediction errors of a two-speed first-order model with a wandering heat of its own are minimised (maximum likelihood
 * of its Kalman filter, an output-error fit where the own heat is at rest). Both temperatures are prefiltered by the same
 * moving average, a time constant or at most half an hour long, so that the band around 1/τ decides and not the eddies, to which
 * thin skins and the sensor itself answer. How restless the own heat is is judged along the way, by the hour, so that
 * nights and weekends count for more than shifts. Simple least squares on T[k+1] = a·T[k] + b·A[k] + c is biased by the
 * noise of T[k] and by own heat that comes and goes with the shop's air; that is why it is not used.
 *
 * The standard error is the fit's alone and allows for residuals that are not independent. The uncertainty joins to it half
 * the spread of the answers for two bands and for one and two speeds, the bias that the surroundings' own noise can cause,
 * and what the model's form leaves open.
 *
 * @param times        ms, ascending, any spacing up to 15 min; means of minutes or five minutes
 * @param node         °C at those times, NaN where nothing is known
 * @param surroundings °C of what it follows at those times, NaN where nothing is known
 * @yields every few milliseconds, so that a service can do other things in between
 * @returns what was found, or why nothing can be said
 * @throws RangeError when the three are not of one length or the times do not ascend
 * @see Ljung, L. (1999), System Identification, 2nd ed., 7.2, 7.4, 13.7 and 14.4; White, H. (1982), Econometrica 50, 1
 */
export function* identifying(
  times: ArrayLike<number>,
  node: ArrayLike<number>,
  surroundings: ArrayLike<number>,
  { start = 3600, noise = 0.02, readEvery = spacing }: IdentifyOptions = {},
): Generator<void, Identified> {
  const even = evenly(times, node, surroundings, spacing)
  const hours = (stretches(even) * spacing) / 3600
  if (hours < fewestHours) return nothing(hours, { kind: 'few readings', hours, needed: fewestHours })
  yield
  // values on one line between two readings are one value: taken for more, their errors would look like a second speed
  const narrowest = Math.max(band.narrowest, Math.ceil(readEvery / spacing))
  const widthFor = (tau: number) => Math.max(narrowest, Math.min(band.widest, Math.round((band.part * tau) / spacing)))
  let width = widthFor(start)
  let fit = yield* fittingRestless(averaged(even, width), first(start))
  // the band belongs to the time constant, and that is known only now
  for (let again = 0; again < 2 && widthFor(fit.speeds.main) !== width; again++) {
    width = widthFor(fit.speeds.main)
    fit = yield* fittingRestless(averaged(even, width), first(fit.speeds.main))
  }
  const narrow = yield* fittingRestless(averaged(even, Math.max(narrowest, width >> 1)), fit.speeds)
  const two = yield* fitting(
    narrow.data,
    { main: 1.2 * fit.speeds.main, fast: Math.max(2 * atOnce, fit.speeds.main / 6), share: 0.25 },
    narrow.disturbances,
    true,
  )
  yield
  // between readings the surroundings are taken as straight lines: an error of the order of (spacing/τ)²/8
  const straight = (Math.max(spacing, readEvery) / fit.speeds.main) ** 2 / 8
  const error = Math.hypot(standardError(fit, blocksOf(even.node.length)), straight)
  return judged(fit, [fit.speeds.main, narrow.speeds.main, covered63(two.speeds)], error, hours, noise)
}

const first = (main: number): Speeds => ({ main, fast: atOnce, share: 0.04 })

/** about a day each, but never fewer than eight */
const blocksOf = (values: number): number => Math.max(8, Math.round((values * spacing) / 86_400))

const judged = (fit: Fit, answers: number[], error: number, hours: number, noise: number): Identified => {
  const { main: timeConstant } = fit.speeds
  const logs = answers.map(Math.log)
  const spread = Math.max(...logs) - Math.min(...logs)
  const { excesses, correlation } = residuals(fit)
  const { moved, drive } = movement(fit)
  const bias = (noise / drive) ** 2
  const uncertainty = Math.hypot(error, spread / 2, bias, formUncertainty)
  const least = Math.max(leastMovement.kelvin, leastMovement.noises * noise)
  const little = (): Refusal | null => {
    if (moved < least) return { kind: 'moved little', moved, needed: least }
    return Math.hypot(error, bias) <= largestUncertainty ? null : { kind: 'uncertain', allowed: largestUncertainty }
  }
  const contradicted = (): Refusal | null => {
    if (timeConstant < 1.05 * bounds.shortest || timeConstant > 0.95 * bounds.longest)
      return { kind: 'at the bounds', shortest: bounds.shortest, longest: bounds.longest }
    if (spread > largestSpread)
      return { kind: 'two speeds', shortest: Math.min(...answers), longest: Math.max(...answers) }
    return correlation > largestCorrelation ? { kind: 'residuals alike', correlation } : null
  }
  const tooLittle = little()
  return {
    timeConstant,
    uncertainty: Number.isFinite(uncertainty) ? uncertainty : null,
    standardError: Number.isFinite(error) ? error : null,
    steadyExcess: excesses.length ? excesses[excesses.length >> 1]! : null,
    fastShare: fit.speeds.share,
    covered63: answers[2]!,
    hours,
    moved,
    residualCorrelation: correlation,
    refusal: tooLittle ?? contradicted(),
    tooLittle: tooLittle !== null,
  }
}

/** Own excesses in order of size, and how alike neighbouring residuals are. */
const residuals = ({ data, speeds, disturbances }: Fit): { excesses: number[]; correlation: number } => {
  const excesses: number[] = []
  const found: number[] = []
  follow(data, speeds, disturbances, ({ standardised, excess }) => {
    excesses.push(excess)
    // a shift's start is an outlier, not a likeness
    found.push(Math.max(-3, Math.min(3, standardised)))
  })
  excesses.sort((a, b) => a - b)
  const squares = found.reduce((sum, e) => sum + e * e, 0)
  const at = (lag: number) => found.slice(lag).reduce((sum, e, i) => sum + e * found[i]!, 0) / squares
  return { excesses, correlation: Math.max(...[1, 2, 3].map(lag => Math.abs(at(lag)))) }
}

/**
 * What the surroundings do to a body of this time constant: how far they move it about its mean of a few time constants,
 * and how far they are from it. K, standard deviations.
 */
const movement = ({ data, speeds }: Fit): { moved: number; drive: number } => {
  const part = 1 - Math.exp(-data.spacing / speeds.main)
  const slow = part / 4
  let [lagged, mean] = [Number.NaN, Number.NaN]
  let [moves, drives, count] = [0, 0, 0]
  for (const around of data.air) {
    if (Number.isNaN(around)) continue
    if (Number.isNaN(lagged)) [lagged, mean] = [around, around]
    lagged += part * (around - lagged)
    mean += slow * (lagged - mean)
    moves += (lagged - mean) ** 2
    drives += (around - lagged) ** 2
    count++
  }
  return { moved: Math.sqrt(moves / Math.max(1, count)), drive: Math.sqrt(drives / Math.max(1, count)) }
}
