import type { FeatureParts } from '../../../core/investigation/index.js'
import { type Random, randomStream } from '../../../simulators/random.js'

const quarter = 900_000
const day = 96 * quarter

/** A course with memory: weather of days, a day's cycle that is not every day alike, and a door now and then; m. */
const madeCourse = (draws: Random, days: number): Float64Array => {
  const course = new Float64Array(days * 96)
  const size = draws.between(3e-6, 15e-6)
  const pace = Math.exp(-1 / draws.between(24, 400))
  const daily = draws.between(0, 1)
  let [weather, phase, opened] = [draws.normal(), draws.between(0, 6.28), 0]
  for (let i = 0; i < course.length; i++) {
    weather = pace * weather + Math.sqrt(1 - pace * pace) * draws.normal()
    if (i % 96 === 0) phase += 0.3 * draws.normal()
    if (draws.uniform() < 0.01) opened -= draws.between(0, 2)
    opened *= 0.9
    course[i] = size * (weather + daily * Math.sin((2 * Math.PI * i) / 96 + phase) + opened)
  }
  return course
}

const spread = (values: readonly number[]): number => {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length
  return Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length)
}

/** What else makes parts differ: a tool that wears and is changed, lots, a setter's drift from part to part. */
const otherCauses = (draws: Random, count: number) => {
  const life = Math.round(draws.between(15, 60))
  const wear = draws.between(0, 2)
  const lots = Math.round(draws.between(1, 5))
  const offsets = Array.from({ length: lots }, () => draws.normal() * draws.between(0, 1))
  const memory = draws.between(0, 0.95)
  let wander = draws.normal()
  const tool: number[] = []
  const lot: string[] = []
  const values = Array.from({ length: count }, (_, i) => {
    tool.push(i % life)
    const k = Math.floor((i * lots) / count)
    lot.push(`lot ${k}`)
    wander = memory * wander + Math.sqrt(1 - memory * memory) * draws.normal()
    return (wear * (i % life)) / life + offsets[k]! + wander * draws.between(0.5, 1)
  })
  return { values, tool, lot }
}

/**
 * Parts of a made-up feature. None of it knows how the project tells heat from anything else.
 *
 * @param heat 0..1; share of the variance that heat makes, 0 for none
 * @param told whether tool and lot are recorded
 */
export const madeFeature = (seed: number, heat: number, count = 40, told = seed % 2 === 0): FeatureParts => {
  const draws = randomStream(seed, 'investigated parts')
  const days = Math.round(draws.between(5, 20))
  const from = Date.UTC(2026, 0, 12)
  const course = madeCourse(draws, days)
  const at = Array.from({ length: count }, () => {
    const morning = Math.floor(draws.uniform() * days) * day + 6 * 4 * quarter
    return from + morning + draws.uniform() * 10 * 4 * quarter
  }).sort((a, b) => a - b)
  const predicted = at.map(time => course[Math.min(Math.round((time - from) / quarter), course.length - 1)]!)
  const other = otherCauses(draws, count)
  const factor = draws.between(0.85, 1.15)
  const unit = spread(other.values)
  // so much of the other causes that heat has its share of the variance
  const amount =
    heat > 0 ? (factor * spread(predicted) * Math.sqrt((1 - heat) / heat)) / unit : spread(predicted) / unit
  const parts = at.map((time, i) => ({
    at: time,
    predicted: predicted[i]!,
    deviation: (heat > 0 ? factor * predicted[i]! : 0) + amount * other.values[i]! + 2e-6,
  }))
  const columns: FeatureParts['columns'] = told
    ? [
        { suspect: 'tool wear', kind: 'quantity', values: other.tool },
        { suspect: 'lot', kind: 'group', values: other.lot },
      ]
    : []
  return { parts, columns, course: { from, step: quarter, values: course } }
}
