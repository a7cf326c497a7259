import type { Draw } from '../statistics/drawing.js'
import { normalQuantile } from '../statistics/normal.js'
import { quantile } from '../statistics/quantile.js'
import type { Courses, Place } from './courses.js'
import { type Act, type Acting, type HallTerm, hallTerms, runHalls } from './hall.js'
import { varianceOf } from './known.js'
import type { HallModel } from './model.js'
import { type Fit, OutputErrorFit, physical, type Unknown } from './output-error.js'

/**
 * What is usual of a hall, and how much halls differ (standard deviation; of the logarithm where they differ by a factor). What a
 * history does not tell stays near it. Judgement, no source: a hall's air with what is light in it turns over some kW for each K
 */
const usual: Record<Exclude<HallTerm, 'day'>, { usual: number; spread: number; isFactor?: boolean }> = {
  link: { usual: 1.2, spread: 0.7, isFactor: true },
  leak: { usual: 0.25, spread: 0.9, isFactor: true },
  hold: { usual: 0, spread: 0.5 },
  heavy: { usual: 10, spread: 0.7, isFactor: true },
  sun: { usual: 0, spread: 2 },
  people: { usual: 0, spread: 0.5 },
  base: { usual: 0, spread: 1 },
  heating: { usual: 12, spread: 0.7, isFactor: true },
  cooling: { usual: 8, spread: 0.9, isFactor: true },
  setback: { usual: 0, spread: 4 },
  gap: { usual: 1, spread: 6 },
  rest: { usual: 0, spread: 4 },
  from: { usual: 6, spread: 2 },
  to: { usual: 18, spread: 3 },
}
/** K; about the middle of what was measured */
const ofDay = 4
/** of a source: K/h at its usual pull, or 1/h where it exchanges air; of a neighbour: 1/h */
const ofSource = 4
const ofExchange = 1.5
const ofNeighbour = 0.3
const eitherSign: readonly string[] = ['people', 'base', 'day']
/** intervals whose mean is fitted, so that a thermostat's cycling does not hide everything else: with five minutes, half an hour */
const together = 6
/** intervals at the beginning that do not count: what is heavy has a temperature of its own then. With five minutes, half a day */
const lead = 144
/** rounds of a first look, of what follows it, and of the last look */
const rounds = { first: 5, next: 10, last: 25 }
/** while beginnings are compared: K², and 0..1 from half hour to half hour. Judgement */
const comparing = { noise: 0.04, memory: 0.7 }
/** minus twice the logarithm of a likelihood ratio; only where it is more is a weekday another kind of day than the shifts say. Judgement */
const anotherDay = 10
/** pieces of the history that stay together in a drawing, and drawings */
const pieces = 28
const drawings = 24
/** of how many values of a normal distribution one is drawn */
const fineness = 1000

type Described = Pick<HallModel, 'place' | 'sources' | 'neighbours' | 'weekdays'>

/**
 * Learns how one place in the shop's air responds, by running it along with its heating and cooling until it goes as it was
 * measured, from several beginnings: see `OutputErrorFit`. In steps, for it takes a second or so.
 *
 * @param around  °C; of the place and its neighbours, without gaps
 * @param first   what was found with neighbours as they were measured, if it was looked for already
 * @param isLast  whether drawings are made, for intervals
 * @returns null where too little is known
 * @see Künsch, H. R. (1989), Ann. Stat. 17, 1217, on drawing blocks
 */
export function* learnHall(
  place: Place,
  neighbours: readonly string[],
  courses: Courses,
  acting: Acting,
  around: ReadonlyMap<string, Float64Array>,
  draw: Draw,
  first: Pick<HallModel, 'values' | 'weekdays'> | null,
  isLast: boolean,
): Generator<void, Omit<HallModel, 'days'> | null> {
  const sources = [...acting.pulls.keys()]
  const target = halfHours(place.temperature).map((value, k) => (k < lead / together ? Number.NaN : value))
  const level = (part: number, works?: 1) => {
    const known = [...place.temperature].filter((t, i) => !Number.isNaN(t) && (!works || courses.works[i] === works))
    return quantile(known, part)
  }
  const [low, middle, high] = [level(0.05), level(0.5), level(0.95)]
  const unknown = [
    ...hallTerms.map(name => ofTerm(name, middle)),
    ...sources.map(id => bySource(acting.pulls.get(id)!)),
    ...neighbours.map(() => ({ ...neighbour, spread: first ? ofNeighbour : ofNeighbour / 10 })),
  ]
  if (target.filter(value => !Number.isNaN(value)).length < 4 * unknown.length) return null
  const at = (name: HallTerm) => hallTerms.indexOf(name)
  const fit = new OutputErrorFit(
    unknown,
    unknown.map(({ spread }, k) => (k === at('from') || k === at('to') ? 0.25 : 1e-3 * spread)),
  )
  const leftOf = (hall: Described) => (x: readonly number[]) => {
    const { air } = runHalls([{ hall, values: physical(unknown, x) }], courses, acting, around, {})
    const left = halfHours(air[0]!)
    // a loop: asked very often, and mapping a typed array costs many times as much
    for (let k = 0; k < left.length; k++) left[k] = target[k]! - left[k]!
    return left
  }
  /** When the heating keeps its hours: earlier or later, and on which days. */
  const withHours = (hall: Described, found: Fit): { hall: Described; found: Fit } => {
    let best = { hall, x: found.x, cost: fit.costOf(leftOf(hall)(found.x), found.x, found) }
    const take = (of: Described, x: number[], ahead: number) => {
      const cost = fit.costOf(leftOf(of)(x), x, found)
      if (cost < best.cost - ahead) best = { hall: of, x, cost }
    }
    for (let from = 3; from <= 9; from += 0.5)
      for (let to = 13; to <= 23; to += 1)
        take(
          hall,
          found.x.map((value, k) => (k === at('from') ? from : k === at('to') ? to : value)),
          0,
        )
    for (let day = 0; day < 7; day++) {
      const weekdays = best.hall.weekdays.map((is, d) => is !== (d === day))
      take({ ...best.hall, weekdays }, best.x, anotherDay)
    }
    return { hall: best.hall, found: { ...found, x: best.x } }
  }
  const begun = (changes: Partial<Record<HallTerm, number>>): Fit => ({
    x: unknown.map((u, k) => changes[hallTerms[k] as HallTerm] ?? u.usual),
    ...comparing,
    cost: Number.POSITIVE_INFINITY,
  })
  const again = (values: readonly number[]): Fit => ({
    ...begun({}),
    x: values.map((value, k) => (unknown[k]!.isFactor ? Math.log(value) : value)),
  })
  const weekdays =
    first?.weekdays ??
    Array.from({ length: 7 }, (_, day) => courses.weekday.some((d, i) => d === day && courses.works[i] === 1))
  let best = {
    hall: { place: place.id, sources, neighbours: [...neighbours], weekdays } as Described,
    found: begun({}),
  }
  for (const begin of first ? [again(first.values)] : beginnings(low, middle, high, level(0.5, 1), acting).map(begun)) {
    const { hall } = best
    const looked = withHours(hall, yield* fit.improved(leftOf(hall), begin, rounds.first, true))
    yield
    const found = yield* fit.improved(leftOf(looked.hall), { ...looked.found, ...comparing }, rounds.next, true)
    if (found.cost < best.found.cost) best = { hall: looked.hall, found }
  }
  for (let time = 0; time < 2; time++) {
    best.found = yield* fit.improved(leftOf(best.hall), best.found, rounds.last, false)
    if (time === 0) best = withHours(best.hall, best.found)
    yield
  }
  const { hall, found } = best
  const left = leftOf(hall)
  const slopes = fit.slopes(left, found.x, found.memory)
  const block = Math.ceil(target.length / pieces)
  const drawn = Array.from({ length: isLast ? drawings : 0 }, () => {
    const times = new Array<number>(pieces).fill(0)
    for (let n = 0; n < pieces; n++) times[draw(pieces)]!++
    const otherwise = unknown.map(each => each.usual + each.spread * normalQuantile((draw(fineness) + 0.5) / fineness))
    return physical(
      unknown,
      fit.drawn(left, found, slopes, k => times[Math.floor(k / block)]!, otherwise),
    ).map(rounded)
  })
  const values = physical(unknown, found.x).map(rounded)
  const explained = Math.max(0, 1 - varianceOf(left(found.x)) / varianceOf(target))
  return { ...hall, values, drawn, memory: rounded(found.memory), explained }
}

const ofTerm = (name: HallTerm, middle: number): Unknown => {
  if (name === 'day') return { usual: middle, spread: ofDay, isFactor: false, low: Number.NEGATIVE_INFINITY }
  const { usual: value, spread, isFactor = false } = usual[name]
  const low = isFactor || eitherSign.includes(name) ? Number.NEGATIVE_INFINITY : 0
  return { usual: isFactor ? Math.log(value) : value, spread, isFactor, low }
}

const bySource = ({ part, towards }: Act): Unknown => {
  if (towards) return { usual: 0, spread: ofExchange, isFactor: false, low: 0 }
  const moving = part.filter(value => Math.abs(value) > 1e-3)
  const size = Math.sqrt(moving.reduce((sum, value) => sum + value * value, 0) / Math.max(1, moving.length))
  return { usual: 0, spread: ofSource / Math.max(size, 1e-3), isFactor: false, low: 0 }
}

const neighbour = { usual: ofNeighbour, isFactor: false, low: 0 }

/** A heating that sets back at night, cooling alone, both, and neither. */
const beginnings = (
  low: number,
  middle: number,
  high: number,
  atWork: number,
  { outdoors }: Acting,
): Partial<Record<HallTerm, number>>[] => {
  const setback = Math.max(0, atWork - low)
  const rest = Math.max(0, high - atWork)
  const wide = high - low + 4
  // what keeps it where it is on average while neither heating nor cooling runs
  const mean = outdoors.reduce((sum, value) => sum + value, 0) / outdoors.length
  const base = usual.leak.usual * (middle - mean)
  const hold = 0.3
  return [
    { day: atWork, setback, gap: wide },
    { base, day: low - 2, gap: Math.max(0.5, atWork - low + 2), rest },
    { day: atWork - 0.5, setback, gap: 1, rest },
    { base: base + hold * (middle - 20), hold, day: low - 3, gap: wide + 3 },
  ]
}

/** to six digits: more would be stored for nothing */
export const rounded = (value: number): number => Number(value.toPrecision(6))

/** Means over longer intervals; not known (NaN) where a part of one is not. */
const halfHours = (values: Float64Array): Float64Array => {
  const means = new Float64Array(Math.floor(values.length / together))
  for (let k = 0; k < means.length; k++)
    for (let i = 0; i < together; i++) means[k]! += values[k * together + i]! / together
  return means
}
