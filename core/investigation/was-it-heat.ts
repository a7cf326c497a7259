import type { Conclusion, Doubt, HeatFindingAnswer, ToldFigure } from './answer.js'
import { Chance, type Course, type Tested, without } from './chance.js'
import { blockOf, figuresOf, spread } from './figures.js'
import { type Column, columnsOf, explainedAlone, isUsable, otherCauses, untold } from './other-causes.js'
import { memoryOf } from './resampling.js'
import { type PredictedPart, slopeOnPrediction } from './share-explained.js'

/** Parts of one feature, made on one machine. */
export interface FeatureParts {
  /** in order of time */
  parts: readonly PredictedPart[]
  columns: readonly Column[]
  /** m; what heat predicts of a part over the whole stretch, from a midnight on */
  course: Course
  /** ms; a midnight by the shop's clock; the beginning of the course if not given */
  midnight?: number
  /** m; standard deviation of one measurement, by parts that were measured twice; null or not given: none was */
  gauge?: number | null
}

/** What is found of a feature; `settles` is added where it is told. */
export type HeatFinding = Omit<HeatFindingAnswer, 'settles'>

/** parts; fewer tell nothing. Judgement, no source */
export const neededParts = 12
/** 0..1; from so much of the variance on, heat made most of it, or a part of it. Judgement, no source */
const shares = { most: 0.5, part: 0.15 }
/** 0..1; a finding may come about by chance at most so often, over all features that are looked at together. Common practice, no source */
export const chanceLevel = 0.05
/** a prediction that moves by less than this fraction of the scatter has nothing to show. Judgement, no source */
const leastMovement = 0.2
/** m/m; physics expects 1. Half or double of it is another cause, or another model. Judgement, no source */
const slopes = { least: 0.5, most: 2, leastFound: 1 / 3 }

/** What does not depend on how many features are looked at: figures, and the two chances. */
export interface Examined extends Omit<HeatFinding, 'conclusion' | 'doubts' | 'level'> {
  /** the slope once what else was recorded is taken out of both sides; NaN where it cannot be told */
  slopeBeside: number
  /** what another column explains of the deviations by itself, the largest of them */
  rival: { name: string; explained: number } | null
}

/** steps until a course has forgotten itself; a tenth of it at most */
const memoryOfCourse = (values: ArrayLike<number>): number => {
  const thinned = Math.max(1, Math.floor(values.length / 2000))
  const some = Float64Array.from({ length: Math.floor(values.length / thinned) }, (_, i) => values[i * thinned]!)
  const known = some.filter(value => !Number.isNaN(value))
  return thinned * memoryOf(known, Math.max(1, Math.floor(known.length / 10)))
}

/** parts of one feature that a test of chance looks at: more, evenly picked, tell hardly more */
const mostTested = 200
/** and of all features together */
const mostTogether = 1000

/** as the test of chance takes it: what else was recorded is taken out */
const testedOf = ({ parts, columns, course }: FeatureParts, most = mostTested, scale = 1): Tested => {
  const stride = Math.max(1, parts.length / most)
  const picked = Array.from({ length: Math.floor(parts.length / stride) }, (_, i) => Math.floor(i * stride))
  const some = columns.map(column => ({ ...column, values: picked.map(i => column.values[i]!) }))
  return {
    at: picked.map(i => parts[i]!.at),
    values: picked.map(i => scale * parts[i]!.deviation),
    columns: [new Float64Array(picked.length).fill(1), ...some.filter(isUsable).flatMap(columnsOf)],
    course,
    scale,
  }
}

const chances = (tested: readonly Tested[], midnight: number) => {
  const test = new Chance(tested)
  const apart = Math.max(...tested.map(({ course }) => course.step * memoryOfCourse(course.values)))
  const halfDays = test.halfDays(midnight)
  return { chance: test.movedRound(apart), chanceHalfDays: halfDays.chance, exchanges: halfDays.ways }
}

/** Looks at parts of one feature on one machine. */
export const examine = (feature: FeatureParts): Examined => {
  const { parts, columns, course, midnight = course.from, gauge = null } = feature
  if (parts.length < 2) return nothingOf(parts.length, columns)
  const block = blockOf(parts)
  const deviations = Float64Array.from(parts, ({ deviation }) => deviation)
  const predicted = Float64Array.from(parts, each => each.predicted)
  const taken = [new Float64Array(parts.length).fill(1), ...columns.filter(isUsable).flatMap(columnsOf)]
  const [y, x] = [without(deviations, taken), without(predicted, taken)]
  const rivals = columns
    .filter(isUsable)
    .map(column => ({ name: column.suspect, explained: explainedAlone(column, deviations) }))
    .sort((a, b) => b.explained - a.explained)
  const figures = figuresOf(parts, block)
  return {
    parts: parts.length,
    ...figures,
    ...chances([testedOf(feature)], midnight),
    slopeBeside: slopeOnPrediction(parts.map(({ at }, i) => ({ at, predicted: x[i]!, deviation: y[i]! }))),
    rival: rivals[0] ?? null,
    others: otherCauses(
      // a prediction that explains nothing would only hide what does
      figures.explained && figures.explained.value >= shares.part
        ? deviations.map((value, i) => value - predicted[i]!)
        : deviations,
      parts.map(({ at }) => at),
      columns,
      block,
      gauge,
    ),
  }
}

const nothingOf = (parts: number, columns: readonly Column[]): Examined => ({
  parts,
  explained: null,
  asPredicted: null,
  slope: null,
  scatter: null,
  movement: null,
  left: null,
  chance: null,
  chanceHalfDays: null,
  exchanges: 0,
  slopeBeside: Number.NaN,
  rival: null,
  others: columns.map(({ suspect }) => untold(suspect, 'cannot be told')),
})

/** of one feature; fewer say nothing of how it scatters */
const fewestTogether = 4

/** Looks at several features together, each counted from its own mean and in its own scatter. */
export const examineAll = (features: readonly FeatureParts[]): Examined => {
  const some = features.filter(({ parts }) => parts.length >= fewestTogether)
  const scaled = some.map(feature => ({ feature, scale: 1 / spread(feature.parts.map(({ deviation }) => deviation)) }))
  const usable = scaled.filter(({ scale }) => Number.isFinite(scale))
  const count = features.reduce((sum, { parts }) => sum + parts.length, 0)
  if (usable.length === 0) return nothingOf(count, [])
  const parts = usable
    .flatMap(({ feature, scale }) => {
      const n = feature.parts.length
      const mean = (of: (part: PredictedPart) => number) => feature.parts.reduce((sum, part) => sum + of(part) / n, 0)
      const [y, x] = [mean(part => part.deviation), mean(part => part.predicted)]
      return feature.parts.map(({ at, deviation, predicted, uncertainty = 0 }) => ({
        at,
        deviation: scale * (deviation - y),
        predicted: scale * (predicted - x),
        uncertainty: scale * uncertainty,
      }))
    })
    .sort((a, b) => a.at - b.at)
  const most = Math.max(fewestTogether, Math.min(mostTested, Math.floor(mostTogether / usable.length)))
  const tested = usable.map(({ feature, scale }) => testedOf(feature, most, scale))
  const { midnight, course } = usable[0]!.feature
  const { scatter: _, movement, left, ...figures } = figuresOf(parts, blockOf(parts))
  return {
    parts: parts.length,
    ...figures,
    // each in its own scatter: lengths mean nothing here but against each other
    scatter: 1,
    movement,
    left,
    ...chances(tested, midnight ?? course.from),
    slopeBeside: figures.slope?.value ?? Number.NaN,
    rival: null,
    others: [],
  }
}

const doubtsOf = (found: Examined, level: number): Doubt[] => {
  const { parts, chance, chanceHalfDays, exchanges, movement, scatter, slope, slopeBeside, explained, rival } = found
  const doubts: Doubt[] = []
  if (parts < neededParts) doubts.push({ kind: 'too few parts', parts, needed: neededParts })
  if (movement !== null && scatter !== null && !(movement >= leastMovement * scatter))
    doubts.push({ kind: 'too little movement', predicted: movement, scatter })
  if (chance !== null && !(chance <= level)) doubts.push({ kind: 'chance', chance, level })
  if (chanceHalfDays !== null && !(chanceHalfDays <= chanceLevel))
    doubts.push({ kind: 'half days', chance: chanceHalfDays, level: chanceLevel, exchanges })
  if (slope) {
    const within =
      (slope.low ?? Number.NEGATIVE_INFINITY) <= slopes.most && (slope.high ?? Number.POSITIVE_INFINITY) >= slopes.least
    if (!within || !(slope.value > slopes.leastFound) || !(slopeBeside > slopes.leastFound))
      doubts.push({ kind: 'slope', slope })
  }
  if (rival && rival.explained > Math.max(explained?.value ?? 0, shares.part))
    doubts.push({ kind: 'other explanation', name: rival.name, explained: rival.explained })
  return doubts
}

/** half days of fewer ways to lie could show nothing, whatever they were: parts of three days have 36 */
const fewestExchanges = 20

/** with this doubt, heat may still be called a part of it: what else explains it, or what comes back each day, is the rest */
const leavesPart = (doubt: Doubt, explained: ToldFigure): boolean =>
  doubt.kind === 'other explanation' ||
  (doubt.kind === 'half days' && doubt.exchanges >= fewestExchanges && (explained.low ?? Number.NEGATIVE_INFINITY) > 0)

/**
 * What is concluded of what was found. Never stronger than the data: share, slope and chance must agree.
 *
 * @param level what the chance of the circular shift may be at most, allowing for how many features were looked at
 */
export const concluded = (found: Examined, level = chanceLevel): HeatFinding => {
  const { slopeBeside: _, rival, ...figures } = found
  const { explained, parts } = found
  const doubts = doubtsOf(found, level)
  const conclude = (): Conclusion => {
    if (parts < neededParts || !explained) return 'cannot be told'
    // what hardly moved cannot have moved the parts
    if (explained.high !== null && explained.high < shares.part) return 'not heat'
    if (!doubts.every(doubt => leavesPart(doubt, explained))) return 'cannot be told'
    const isRivalled = doubts.length > 0
    if (explained.value >= shares.most && !isRivalled) return 'most'
    return explained.value >= shares.part ? 'part' : 'cannot be told'
  }
  const conclusion = conclude()
  if (conclusion === 'cannot be told' && doubts.length === 0 && explained) doubts.push({ kind: 'wide', explained })
  return { ...figures, conclusion, doubts, level }
}
