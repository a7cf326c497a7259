import { drawing } from '../statistics/drawing.js'
import type { Courses, Place } from './courses.js'
import { type Drive, drives } from './drives.js'
import { lagged } from './lag.js'
import type { Influence, PlaceModel, ShopModel } from './model.js'
import { type Group, misfit, type RidgeFit, ridgeFit, varianceOf } from './ridge.js'
import { isThermostat } from './thermostat.js'

/**
 * s; what is tried of a place's own two time constants, of its air and of what is heavy around it, and how much the second counts
 * against the first. Judgement: halls of usual size lie well within
 */
const tried = {
  fast: [400, 800, 1600, 3200, 6400, 12_800],
  slow: [20_000, 50_000, 120_000],
  heavy: [0, 0.3, 1, 3],
}
/** then each of the best is tried so much smaller and larger */
const between = Math.SQRT2
/** what is left of a deviation after one interval while time constants are tried; then it is found. Judgement */
const usualMemory = 0.85
/** s; a source reaches what stands beside it by its own stream of air as well */
const beside = [0, 900]
/** s; the outdoors come through leaks at once, and through walls and roof */
const throughWalls = [0, 21_600]
/** s; the air of the shop reaches a machine by mixing, a coolant through its tank */
const mixing = [0, 900]
const throughTank = [1200, 4800, 14_400]
/** days of history that a place must be known in. Judgement: a model of a week that saw less than three days of it is none */
export const fewestDays = 3
/**
 * correlation from which two pulls cannot be told apart. Judgement: openings told to the minute by two contacts, or by the air beside
 * two doors, correlate less than the doors do
 */
export const tooAlike = 0.8

interface Influencing extends Group {
  of: string
  kind: Influence['kind']
  lags: number[]
  /** s; a lag before all of them */
  through?: number
  /** how its one column is made of the lags; each lag has a column of its own if not given */
  parts?: number[]
}

/**
 * Learns how the air and the coolants of a shop respond. A place in the shop's air is a light air before something heavy: whatever
 * moves it (a source, the outdoors) arrives with the same two time constants, those of the place, and with a gain of its own. The
 * air at a machine follows those places, and each source by its own stream; a coolant follows the air at its machine. What comes
 * again with each day or week is left to the week. Gains are not negative: heat flows from warm to cold.
 *
 * In steps, one place each, for it takes some hundred ms.
 *
 * @param at ms
 * @param rests the sensors it comes from, in words
 */
export function* learning(courses: Courses, shop: string, at: number, rests: string): Generator<void, ShopModel> {
  const { from, spacing, length, places } = courses
  const pulls = drives(courses)
  const shopAir = places.filter(({ kind }) => kind === 'shop air')
  const bySource = (drive: Drive, lags: number[]): Influencing => ({
    of: drive.source.id,
    kind: 'source',
    lags,
    columns: lags.map(lag => lagged(drive.pull, lag, spacing, 0)),
    nonNegative: true,
  })
  const byStream = pulls.map(drive => bySource(drive, beside))
  const moving = movingAir(
    courses,
    pulls.filter(drive => !isThermostat(places, drive)),
  )
  const week = weekOf(courses)
  const fromPlace = (place: Place, lags: number[]): Influencing => ({
    of: place.id,
    kind: 'place',
    lags,
    columns: lags.map(lag => lagged(place.temperature, lag, spacing)),
    nonNegative: true,
  })
  const learned: PlaceModel[] = []
  for (const place of places) {
    yield
    const airs = places.filter(({ kind, machine }) => kind === 'machine air' && machine === place.machine)
    const influences =
      place.kind === 'coolant'
        ? [...airs.map(air => fromPlace(air, throughTank)), week]
        : place.kind === 'shop air' || shopAir.length === 0
          ? [...(yield* byOwnTimes(place, moving, week, spacing)), week]
          : [...shopAir.map(air => fromPlace(air, mixing)), ...byStream, week]
    const known = moved(influences)
    const isHall = known.some(({ parts }) => parts)
    const fit = isHall
      ? ridgeFit(coarse(place.temperature), coarsened(known), drawing(12_345))
      : ridgeFit(place.temperature, known, drawing(12_345))
    const days = knownDays(place.temperature, spacing)
    if (fit && days >= fewestDays) learned.push(placeModel(place.id, known, fit, days))
  }
  return {
    ...{ shop, at, from, to: from + length * spacing * 1000, spacing, rests },
    places: learned,
    alike: alikePulls(courses, pulls),
  }
}

/** to six digits: more would be stored for nothing */
const rounded = (value: number): number => Number(value.toPrecision(6))

const placeModel = (place: string, known: readonly Influencing[], fit: RidgeFit, days: number): PlaceModel => ({
  place,
  influences: known.flatMap(({ of, kind, lags, parts, through = 0 }, g) => {
    if (lags.length === 0) return []
    const spread = (factors: readonly number[]) =>
      (parts ? parts.map(part => part * factors[0]!) : factors).map(rounded)
    return {
      of,
      kind,
      lags,
      through,
      factors: spread(fit.factors[g]!),
      drawn: fit.drawn.map(drawn => spread(drawn[g]!)),
    }
  }),
  constant: rounded(fit.constant),
  memory: rounded(fit.memory),
  explained: rounded(fit.explained),
  days,
})

const knownDays = (values: Float64Array, spacing: number): number =>
  (values.reduce((count, value) => count + (Number.isNaN(value) ? 0 : 1), 0) * spacing) / 86_400

/** What moves the air of the shop. */
const movingAir = ({ outdoors, spacing }: Courses, pulls: readonly Drive[]) => [
  ...pulls.map(({ source, pull }) => ({ of: source.id, kind: 'source' as const, course: pull, start: 0, through: 0 })),
  ...(outdoors
    ? throughWalls.map(lag => {
        const course = lagged(outdoors, lag, spacing)
        return { of: 'outdoors', kind: 'outdoors' as const, course, start: course[0]!, through: lag }
      })
    : []),
]

/** Everything that moves a place, with the place's own two time constants: those under which the data are most probable. */
function* byOwnTimes(
  place: Place,
  moving: ReturnType<typeof movingAir>,
  week: Influencing,
  spacing: number,
): Generator<void, Influencing[]> {
  const { length } = place.temperature
  const target = coarse(place.temperature)
  const groupsFor = ({ fast, slow, heavy }: OwnTimes): Influencing[] => [
    ...moving.map(({ of, kind, course, start, through }): Influencing => {
      const quick = lagged(course, fast, spacing, start)
      const slowly = heavy > 0 ? lagged(course, slow, spacing, start) : null
      return {
        ...{ of, kind, through, lags: slowly ? [fast, slow] : [fast], parts: slowly ? [1, heavy] : [1] },
        ...{ columns: [slowly ? quick.map((value, i) => value + heavy * slowly[i]!) : quick], nonNegative: true },
      }
    }),
    // what was heavy had a temperature of its own at the beginning
    {
      ...{ of: 'beginning', kind: 'week', lags: [], nonNegative: false },
      columns: [Float64Array.from({ length }, (_, i) => Math.exp((-i * spacing) / slow))],
    },
  ]
  let best = { times: { fast: 0, slow: 0, heavy: 0 }, misfit: Number.POSITIVE_INFINITY }
  const take = (times: OwnTimes) => {
    const found = misfit(target, coarsened(moved([...groupsFor(times), week])), usualMemory)
    if (found < best.misfit) best = { times, misfit: found }
  }
  for (const heavy of tried.heavy)
    for (const slow of heavy > 0 ? tried.slow : tried.slow.slice(0, 1))
      for (const fast of tried.fast) {
        yield
        take({ fast, slow, heavy })
      }
  for (const which of ['fast', 'heavy', 'slow'] as const) {
    const { times } = best
    for (const factor of [1 / between, between]) {
      yield
      take({ ...times, [which]: times[which] * factor })
    }
  }
  return groupsFor(best.times)
}

/** s, s; and how much the slow one counts against the fast one */
interface OwnTimes {
  fast: number
  slow: number
  heavy: number
}

/** intervals that are taken together where a heating's own cycling would hide everything else: with five minutes, half an hour */
const together = 6

/** Means over longer intervals; not known (NaN) where a part of one is not. */
const coarse = (values: Float64Array, count = together): Float64Array => {
  const means = new Float64Array(Math.floor(values.length / count))
  means.forEach((_, k) => {
    for (let i = 0; i < count; i++) means[k]! += values[k * count + i]! / count
  })
  return means
}

const coarsened = (groups: readonly Influencing[]): Group[] =>
  groups.map(group => ({ ...group, columns: group.columns.map(column => coarse(column)) }))

/** without columns that hardly move: they tell nothing */
const moved = (all: readonly Influencing[]): Influencing[] =>
  all.filter(({ columns }) => columns.some(column => varianceOf(column) > 1e-9))

/** 1/K²; every shop has its hours, its setback and its shifts: 2 K are nothing special. Judgement, no source */
const ofWeek = 0.25

/** Straight lines between the hours of a day, of days with a shift and of the others: what comes again each day or week. */
export const weekColumns = ({ hour, works, length }: Pick<Courses, 'hour' | 'works' | 'length'>): Float64Array[] => {
  const columns = Array.from({ length: 48 }, () => new Float64Array(length))
  for (let i = 0; i < length; i++) {
    const first = Math.floor(hour[i]!) % 24
    const on = hour[i]! - Math.floor(hour[i]!)
    const kind = works[i] ? 0 : 24
    columns[kind + first]![i]! += 1 - on
    columns[kind + ((first + 1) % 24)]![i]! += on
  }
  return columns
}

const weekOf = (courses: Courses): Influencing => ({
  of: 'week',
  kind: 'week',
  lags: Array.from({ length: 48 }, (_, k) => k),
  columns: weekColumns(courses),
  nonNegative: false,
  precision: ofWeek,
})

/** intervals: with five minutes, an hour */
const hourLong = 12
/** s; pulls are compared as the air feels them, and without what they keep for hours */
const felt = 1800
const kept = 0.97

/** Pairs of pulls that moved together so much over the history that no regression tells their gains apart. */
const alikePulls = (courses: Courses, pulls: readonly Drive[]): ShopModel['alike'] => {
  const { spacing } = courses
  const fresh = (values: ArrayLike<number>): Float64Array => {
    const smooth = lagged(values, felt, spacing)
    return smooth.map((value, i) => (i === 0 ? 0 : value - kept * smooth[i - 1]!))
  }
  const seen = pulls.map(({ pull, source }) => ({ id: source.id, course: fresh(pull) }))
  const found: ShopModel['alike'] = []
  seen.forEach((one, i) => {
    for (const other of seen.slice(i + 1)) {
      const correlation = Math.abs(correlationOf(one.course, other.course))
      if (correlation >= tooAlike) found.push({ a: one.id, b: other.id, correlation })
    }
    const correlation = likeTheWeek(courses, pulls[i]!.pull)
    if (correlation >= tooAlike) found.push({ a: one.id, b: 'week', correlation })
  })
  return found
}

/** Correlation of a pull's hourly means with what they are on average at that hour of that kind of day. */
const likeTheWeek = ({ hour, works }: Courses, pull: Float64Array): number => {
  const means = coarse(pull, hourLong)
  const kind = (k: number) => 24 * works[k * hourLong]! + Math.floor(hour[k * hourLong]!)
  const sums = Array.from({ length: 48 }, () => ({ sum: 0, count: 0 }))
  means.forEach((value, k) => {
    sums[kind(k)]!.sum += value
    sums[kind(k)]!.count += 1
  })
  return correlationOf(
    means,
    means.map((_, k) => sums[kind(k)]!.sum / sums[kind(k)]!.count),
  )
}

/** Correlation of two courses where both are known; 0 where one does not move. */
export const correlationOf = (a: ArrayLike<number>, b: ArrayLike<number>): number => {
  let [count, ma, mb] = [0, 0, 0]
  for (let i = 0; i < a.length; i++) {
    if (Number.isNaN(a[i]! + b[i]!)) continue
    count += 1
    ma += a[i]!
    mb += b[i]!
  }
  ma /= count
  mb /= count
  let [ab, aa, bb] = [0, 0, 0]
  for (let i = 0; i < a.length; i++) {
    if (Number.isNaN(a[i]! + b[i]!)) continue
    ab += (a[i]! - ma) * (b[i]! - mb)
    aa += (a[i]! - ma) ** 2
    bb += (b[i]! - mb) ** 2
  }
  return aa > 0 && bb > 0 ? ab / Math.sqrt(aa * bb) : 0
}
