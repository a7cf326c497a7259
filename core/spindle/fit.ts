import { median } from '../statistics/index.js'
import { studentFactor } from '../statistics/student-t.js'
import type { SpindleFit } from './answer.js'
import { type Candidate, fitCandidate, type Prepared } from './candidate.js'
import type { GrowthTest } from './growth-test.js'
import { type Law, leastRatio, longer, spindleOf } from './law.js'

/** s, both */
interface TimeConstant {
  seconds: number
  standardError: number
}
/** What a tested speed leads to; infinite what is not known at all, where an answer has null. */
type SteadyGrowth = Omit<SpindleFit['steady'][number], keyof Unsure> & Unsure
interface Unsure {
  standardError: number
  halfInterval: number
  heating: TimeConstant[]
  cooling: TimeConstant[]
}

/** One form of the law, and what the information criterion (AICc) says of it. */
interface Judged {
  law: Law
  /** how likely it is the best of them (Akaike weight); all add up to 1 */
  weight: number
}

/** What a growth test tells about a spindle: plain data, to be stored or sent. */
export interface SpindleModel {
  law: Law
  /** m; zero of the indicator */
  zero: number
  /**
   * rows and columns, in this order: the zero (m), the steady growths (m), the natural logarithms of the law, and with two
   * parts the first one's share
   */
  covariance: number[][]
  degreesOfFreedom: number
  /** m; standard deviation of a reading about the fit */
  scatter: number
  /** m; what the law does not describe: the scatter that hangs together from reading to reading, or could and not be seen */
  misfit: number
  /** true when growth first goes the other way, or does nothing for a while, as the law's parts, warmed together, cannot */
  late: boolean
  /** false when what the law does not describe is too large to plan with: see `misfit` and `late` */
  fits: boolean
  steady: SteadyGrowth[]
  /** readings (by index in the test) that lie too far off to be believed; they count for nothing */
  outliers: number[]
  /** all forms that were tried, the best first */
  judged: Judged[]
}

/** scatters beyond which a reading is flagged: Iglewicz & Hoaglin (1993), How to Detect and Handle Outliers */
const flaggedBeyond = 3.5
/** Huber (1964), Ann. Math. Stat. 35, 73: 95 % as sharp as least squares where nothing is wrong */
const huber = 1.345
/** 0..1; part of the largest growth that twice the misfit may reach. Judgement, no source */
const tolerated = 0.1
/** probability of the intervals */
const coverage = 0.9

/**
 * Fits a spindle's growth to a test of it: one part or two, time constants alike, by direction or by speed, whichever has
 * the lowest corrected information criterion (AICc). Readings that lie more than 3.5 robust scatters off the richest form,
 * fitted with Huber's weights, are flagged and left out of all; what remains is fitted by least squares.
 *
 * @param test as `growthTest` has it, of a spindle that was cold when it began
 * @throws RangeError when a speed was hardly read, or there are too few readings altogether; it says which
 * @see Hurvich & Tsai (1989), Biometrika 76, 297 (AICc); Burnham & Anderson (2002), Model Selection and Multimodel
 *   Inference (weights of forms)
 */
export const fitSpindle = (test: GrowthTest): SpindleModel => {
  const all = prepared(test)
  const flagged = outliersOf(all, test.resolution)
  const used = flagged.size > 0 ? without(all, flagged) : all
  checkReadings(used)
  const candidates = candidatesOf(used)
  if (candidates.length === 0)
    throw new RangeError(`${used.at.length} readings are too few for ${used.speeds.length} speeds: read more often`)
  const judged = candidates
    .map(candidate => ({ candidate, criterion: criterionOf(candidate, used.at.length) }))
    .sort((a, b) => a.criterion - b.criterion)
  const { candidate, criterion: lowest } = judged[0]!
  const likelihoods = judged.map(({ criterion }) => Math.exp((lowest - criterion) / 2))
  const sum = likelihoods.reduce((a, b) => a + b, 0)
  const model = modelOf(candidate, used)
  const factor = studentFactor(coverage, model.degreesOfFreedom)
  // which form is right is not sure either (Buckland, Burnham & Augustin 1997, Biometrics 53, 603)
  const steady = model.steady.map((each, i) => {
    const between = judged.reduce(
      (total, { candidate: { law } }, k) => total + (likelihoods[k]! / sum) * (law.steady[i]! - each.growth) ** 2,
      0,
    )
    const standardError = Math.sqrt(each.standardError ** 2 + between)
    return { ...each, standardError, halfInterval: factor * standardError }
  })
  return {
    ...model,
    steady,
    outliers: [...flagged].sort((a, b) => a - b),
    judged: judged.map((each, i) => ({ law: each.candidate.law, weight: likelihoods[i]! / sum })),
  }
}

const prepared = ({ steps, readings }: GrowthTest): Prepared => {
  let end = 0
  const begun = steps.map(({ duration }) => {
    end += duration
    return end - duration
  })
  const speeds = [...new Set(steps.map(({ speed }) => speed))].filter(speed => speed > 0).sort((a, b) => a - b)
  if (speeds.length === 0) throw new RangeError('the spindle never turned: give at least one step with a speed')
  const step = readings.map(({ at }) =>
    Math.max(
      0,
      begun.findLastIndex(from => from < at),
    ),
  )
  return {
    steps,
    begun,
    speeds,
    at: readings.map(({ at }) => at),
    step,
    growth: Float64Array.from(readings, ({ growth }) => growth),
    weights: new Float64Array(readings.length).fill(1),
  }
}

const without = (all: Prepared, flagged: ReadonlySet<number>): Prepared => ({
  ...all,
  at: all.at.filter((_, i) => !flagged.has(i)),
  step: all.step.filter((_, i) => !flagged.has(i)),
  growth: all.growth.filter((_, i) => !flagged.has(i)),
  weights: all.weights.filter((_, i) => !flagged.has(i)),
})

const checkReadings = ({ speeds, steps, step }: Prepared): void => {
  for (const speed of speeds) {
    const count = step.filter(j => steps[j]!.speed === speed).length
    if (count < 3)
      throw new RangeError(
        `${count} readings at ${(speed * 60).toFixed(0)} 1/min: its steady growth needs at least 3; read more often or leave the speed out`,
      )
  }
}

/** Bent parameters of a form that varies, from those of one that is alike. */
const varied = (alike: readonly number[], parts: number) => [...alike.slice(0, parts), 0, ...alike.slice(parts)]

/** Every form that the readings can carry; each starts from where simpler ones ended, so that none ends worse than they do. */
const candidatesOf = (used: Prepared): Candidate[] => {
  const one = fitCandidate(used, 1, 'alike')
  const two = fitCandidate(used, 2, 'alike')
  const found = [one, two]
  for (const variation of ['by direction', 'by speed'] as const) {
    const single = one && fitCandidate(used, 1, variation, [varied(one.fit.bent, 1)])
    const starts = [...(two ? [varied(two.fit.bent, 2)] : []), ...(single ? [split(single.fit.bent)] : [])]
    found.push(single, starts.length > 0 ? fitCandidate(used, 2, variation, starts) : null)
  }
  return found.filter(candidate => candidate !== null)
}

/** One part that varies, split: most of it as it was, and a faster one with a little of the growth. */
const split = ([log, vary]: readonly number[]) => [
  log! - Math.log(2 * leastRatio),
  Math.log(2 * leastRatio),
  vary!,
  0.1,
]

const criterionOf = ({ fit: { squares, amplitudes, bent } }: Candidate, n: number): number => {
  const k = amplitudes.length + bent.length + 1
  return n * Math.log(squares / n) + 2 * k + (2 * k * (k + 1)) / (n - k - 1)
}

/** Readings far off the richest form that they can carry, fitted so that single ones pull little. */
const outliersOf = (all: Prepared, resolution: number): Set<number> => {
  let weights = all.weights
  let flagged: number[] = []
  let from: number[][] = []
  for (let round = 0; round < 3; round++) {
    const used: Prepared = { ...all, weights }
    const base = fitCandidate(used, 2, 'alike', from) ?? fitCandidate(used, 1, 'alike')
    if (!base) return new Set()
    if (base.parts === 2) from = [base.fit.bent]
    const { fit } = fitCandidate(used, base.parts, 'by speed', [varied(base.fit.bent, base.parts)]) ?? base
    const off = fit.residuals.map((x, i) => Math.abs(x) / Math.max(weights[i]!, 1e-9))
    // as steady as a normal distribution's standard deviation; never below what the step of the reading scatters
    const n = all.at.length
    const freedom = n / Math.max(1, n - fit.amplitudes.length - fit.bent.length)
    const scatter = Math.max(1.4826 * median(off) * Math.sqrt(freedom), resolution / Math.sqrt(12))
    if (!(scatter > 0)) return new Set()
    flagged = [...off.keys()].filter(i => off[i]! > flaggedBeyond * scatter)
    weights = off.map(x => Math.sqrt(Math.min(1, (huber * scatter) / Math.max(x, 1e-300))))
  }
  // what strikes a fifth of all is no stray reading but a law that does not hold
  return new Set(flagged.length * 5 > all.at.length ? [] : flagged)
}

const modelOf = ({ law, zero, fit }: Candidate, used: Prepared): Omit<SpindleModel, 'outliers' | 'judged'> => {
  const n = used.at.length
  const degreesOfFreedom = n - fit.amplitudes.length - fit.bent.length
  const scatter = Math.sqrt(fit.squares / degreesOfFreedom)
  let along = 0
  for (let i = 1; i < n; i++) along += (fit.residuals[i]! * fit.residuals[i - 1]!) / (n - 1)
  // chance alone gives readings that do not hang together one standard error of this; what stays below two is not seen
  const unseen = (2 * fit.squares) / n / Math.sqrt(n)
  const hangsTogether = along > unseen
  const misfit = Math.sqrt(Math.max(0, along) + unseen)
  // fewer readings that are worth one of their own, by the correlation from one to the next
  const correlation = hangsTogether ? Math.min(0.95, (along * n) / fit.squares) : 0
  const variance = (scatter ** 2 * (1 + correlation)) / (1 - correlation)
  const covariance = fit.inverse.map(row => row.map(x => x * variance))
  const steady = used.speeds.map(speed => steadyOf(law, speed, covariance, degreesOfFreedom, used))
  const largest = Math.max(...steady.map(({ growth }) => Math.abs(growth)))
  const fast = law.shares[0]!
  const late = fast < -2 * Math.sqrt(covariance.at(-1)!.at(-1)!)
  const fits = 2 * misfit <= tolerated * largest && !late
  return { law, zero, covariance, degreesOfFreedom, scatter, misfit, late, fits, steady }
}

const steadyOf = (
  law: Law,
  speed: number,
  covariance: readonly (readonly number[])[],
  degreesOfFreedom: number,
  { steps }: Prepared,
): SteadyGrowth => {
  const spindle = spindleOf(law)
  const index = law.speeds.indexOf(speed)
  const parts = law.shares.length
  const bent = 1 + law.speeds.length
  const standardError = Math.sqrt(covariance[1 + index]![1 + index]!)
  const constants = (heating: boolean): TimeConstant[] =>
    law.shares.map((_, part) => {
      // how its logarithm changes with each of the logarithms behind it
      const vary = part === parts - 1 ? longer(law.variation, heating, speed / law.speeds.at(-1)!) : 0
      const slopes = law.logs.map((_, i) => (i === parts ? vary : Number(i <= part)))
      let relative = 0
      slopes.forEach((a, i) => {
        slopes.forEach((b, k) => {
          if (a && b) relative += a * b * covariance[bent + i]![bent + k]!
        })
      })
      const seconds = spindle.timeConstant(part, speed, heating)
      return { seconds, standardError: seconds * Math.sqrt(Math.max(0, relative)) }
    })
  const longest = Math.max(...steps.filter(step => step.speed === speed).map(({ duration }) => duration))
  const heating = constants(true)
  return {
    speed,
    growth: law.steady[index]!,
    standardError,
    halfInterval: studentFactor(coverage, degreesOfFreedom) * standardError,
    heating,
    cooling: constants(false),
    settled: Math.exp(-longest / heating.at(-1)!.seconds) <= 0.1,
  }
}
