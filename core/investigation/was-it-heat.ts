import { drawing } from '../statistics/drawing.js'
import { autocorrelation } from '../statistics/index.js'
import { linearFit } from '../statistics/least-squares.js'
import { blockInterval, shiftChance } from './resampling.js'
import { type PredictedPart, shareExplained, slopeOnPrediction } from './share-explained.js'

/** Parts of one feature, made on one machine. */
export interface FeatureParts {
  /** in order of time */
  parts: readonly PredictedPart[]
  /** what else was recorded of each part that could explain it, same order: how many parts the tool had cut, a lot's number */
  columns: readonly { name: string; kind: 'quantity' | 'group'; values: readonly (number | string)[] }[]
  /** m; what heat predicts over the whole stretch, on even steps from `from` (ms), `step` ms apart */
  course: { from: number; step: number; values: ArrayLike<number> }
}

/** A figure and its 90 % interval. */
export interface Told {
  value: number
  low: number
  high: number
}

/** Whether heat made most of the deviations, a part of them, or none that counts. */
export type Conclusion = 'most' | 'part' | 'not heat' | 'cannot be told'

/** Why nothing can be told, or what speaks against heat. `predicted` and `scatter` are standard deviations in m. */
export type Doubt =
  | { kind: 'too few parts'; parts: number; needed: number }
  | { kind: 'too little movement'; predicted: number; scatter: number }
  | { kind: 'chance'; chance: number; level: number }
  | { kind: 'slope'; slope: Told }
  | { kind: 'wide'; explained: Told }
  | { kind: 'other explanation'; name: string; explained: number }

/** What is found of one feature on one machine. */
export interface HeatFinding {
  conclusion: Conclusion
  doubts: Doubt[]
  /** share of the variance that the prediction takes away, with its 90 % interval */
  explained: Told
  /** m/m; deviations on predictions, with its 90 % interval */
  slope: Told
  /** 0..1; how often the course goes as well with the deviations when moved in time, what else explains them taken out */
  chance: number
  /** what each other column explains of the deviations by itself, largest first; 0..1 */
  others: { name: string; explained: number }[]
}

/** parts; fewer tell nothing. Judgement, no source */
export const neededParts = 12
/** 0..1; from so much of the variance on, heat made most of it, or a part of it. Judgement, no source */
const shares = { most: 0.5, part: 0.15 }
/** probability of the intervals */
const coverage = 0.9
/** drawings for an interval */
const rounds = 999
/** found by chance at most so often, for all features that were looked at together. Common practice, no source */
const level = 0.05
/** a prediction that moves by less than this fraction of the scatter has nothing to show. Judgement, no source */
const leastMovement = 0.2

const spread = (values: readonly number[]): number => {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length
  return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length)
}

/** One column of numbers for a quantity, one for each group but the first. */
const columnsOf = ({ kind, values }: FeatureParts['columns'][number]): Float64Array[] => {
  if (kind === 'quantity') return [Float64Array.from(values, Number)]
  const groups = [...new Set(values)].slice(1)
  return groups.map(group => Float64Array.from(values, value => (value === group ? 1 : 0)))
}

/** What is left of values once columns and a constant have explained what they can. */
const without = (values: ArrayLike<number>, columns: readonly Float64Array[]): Float64Array => {
  const constant = new Float64Array(values.length).fill(1)
  // columns that say the same as others are left out one by one
  const kept: Float64Array[] = [constant]
  for (const column of columns) if (linearFit([...kept, column], values)) kept.push(column)
  return linearFit(kept, values)?.residuals ?? Float64Array.from(values)
}

const correlation = (a: ArrayLike<number>, b: ArrayLike<number>): number => {
  let [ab, aa, bb] = [0, 0, 0]
  for (let i = 0; i < a.length; i++) {
    ab += a[i]! * b[i]!
    aa += a[i]! ** 2
    bb += b[i]! ** 2
  }
  return ab / Math.sqrt(aa * bb)
}

/** How many neighbours go with each other: until the autocorrelation has fallen to a third, a third of all at most. */
const memoryOf = (values: readonly number[]): number => {
  const most = Math.max(1, Math.floor(values.length / 3))
  for (let lag = 1; lag < most; lag++) if (!(autocorrelation(values, lag) > 1 / 3)) return lag
  return most
}

/**
 * Whether heat made the deviations of a feature, how much of them, and how sure that is. Never stronger than the data: share,
 * slope and chance must agree, and what else explains the deviations is taken out before chance is asked.
 *
 * @param features how many features are looked at together: the more, the easier one agrees by chance (Bonferroni)
 */
export const wasItHeat = ({ parts, columns, course }: FeatureParts, features = 1): HeatFinding => {
  const deviations = parts.map(({ deviation }) => deviation)
  const block = Math.max(memoryOf(deviations), memoryOf(parts.map(({ predicted }) => predicted)))
  const told = (statistic: (of: readonly PredictedPart[]) => number): Told => ({
    value: statistic(parts),
    ...blockInterval(parts, statistic, block, coverage, rounds, drawing(4711)),
  })
  const explained = told(shareExplained)
  const slope = told(slopeOnPrediction)
  const others = columns
    .map(column => {
      const left = spread([...without(deviations, columnsOf(column))])
      return { name: column.name, explained: 1 - (left / spread(deviations)) ** 2 }
    })
    .sort((a, b) => b.explained - a.explained)

  const all = columns.flatMap(columnsOf)
  const rest = without(deviations, all)
  const steps = course.values.length
  const at = parts.map(part => Math.round((part.at - course.from) / course.step))
  const moved = (by: number) =>
    without(
      at.map(i => course.values[(((i + by) % steps) + steps) % steps]!),
      all,
    )
  const apart = Math.max(1, Math.ceil(memoryOfCourse(course.values)))
  const chance = shiftChance(by => correlation(rest, moved(by)), steps, apart)

  const doubts: Doubt[] = []
  const asked = level / features
  const movement = spread(parts.map(({ predicted }) => predicted))
  const scatter = spread(deviations)
  if (parts.length < neededParts) doubts.push({ kind: 'too few parts', parts: parts.length, needed: neededParts })
  if (!(movement >= leastMovement * scatter)) doubts.push({ kind: 'too little movement', predicted: movement, scatter })
  if (!(chance <= asked)) doubts.push({ kind: 'chance', chance, level: asked })
  // physics expects 1; half or double of it is another cause, or another model
  if (!(slope.low <= 2 && slope.high >= 0.5 && slope.value > 0.33)) doubts.push({ kind: 'slope', slope })
  const rival = others.find(other => other.explained > Math.max(explained.value, shares.part))
  if (rival) doubts.push({ kind: 'other explanation', ...rival })

  const conclude = (): Conclusion => {
    const unknowable = doubts.some(({ kind }) => kind === 'too few parts')
    if (unknowable || !Number.isFinite(explained.value)) return 'cannot be told'
    // what hardly moved cannot have moved the parts
    if (explained.high < shares.part) return 'not heat'
    // another explanation beside it, chance allowed for, leaves heat a part of it
    if (doubts.some(({ kind }) => kind !== 'other explanation')) return 'cannot be told'
    return explained.value >= shares.most && !rival
      ? 'most'
      : explained.value >= shares.part
        ? 'part'
        : 'cannot be told'
  }
  const conclusion = conclude()
  if (conclusion === 'cannot be told' && doubts.length === 0) doubts.push({ kind: 'wide', explained })
  return { conclusion, doubts, explained, slope, chance, others }
}

/** steps until a course has forgotten itself: its autocorrelation has fallen to a third; a tenth of it at most */
const memoryOfCourse = (values: ArrayLike<number>): number => {
  const most = Math.max(1, Math.floor(values.length / 10))
  for (let lag = 1; lag < most; lag *= 2) if (!(autocorrelation(values, lag) > 1 / 3)) return lag
  return most
}
