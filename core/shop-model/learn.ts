import { drawing } from '../statistics/drawing.js'
import { linearFit } from '../statistics/least-squares.js'
import type { Courses, Place } from './courses.js'
import { type Drive, drives } from './drives.js'
import { lagged } from './lag.js'
import type { Influence, PlaceModel, ShopModel } from './model.js'
import { type Group, type RidgeFit, ridgeFit, varianceOf } from './ridge.js'

/** s; with what a source reaches the air of the shop: at once, through the air, through walls and floor. Judgement */
const throughShop = [300, 1200, 4800, 19_200]
/** s; a source reaches what stands beside it by its own stream of air as well */
const beside = [0, 900]
/** s; the outdoors come through walls and roof */
const throughWalls = [7200, 28_800, 100_000]
/** s; the air of the shop reaches a machine by mixing, a coolant through its tank */
const mixing = [0, 900]
const throughTank = [1200, 4800, 14_400]
/** days of history that a place must be known in. Judgement: a model of a week that saw less than three days of it is none */
export const fewestDays = 3
/** correlation from which two pulls cannot be told apart. Judgement, no source */
export const tooAlike = 0.9

interface Influencing extends Group {
  of: string
  kind: Influence['kind']
  lags: number[]
}

/**
 * Learns how the air and the coolants of a shop respond: the places in the shop's air to the sources, the outdoors and the week; the
 * air at a machine to those places, and to each source by its own stream; a coolant to the air at its machine. Each influence
 * arrives by first-order lags whose gains are not negative: heat flows from warm to cold.
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
  const throughAir = pulls.map(drive => bySource(drive, throughShop))
  const byStream = pulls.map(drive => bySource(drive, beside))
  const outdoors = outdoorsOf(courses)
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
          ? [...throughAir, ...outdoors, week]
          : [...shopAir.map(air => fromPlace(air, mixing)), ...byStream, week]
    const known = influences.filter(({ columns }) => columns.some(column => varianceOf(column) > 1e-9))
    const fit = ridgeFit(place.temperature, known, drawing(12_345))
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
  influences: known.map(({ of, kind, lags }, g) => ({
    ...{ of, kind, lags },
    factors: fit.factors[g]!.map(rounded),
    drawn: fit.drawn.map(drawn => drawn[g]!.map(rounded)),
  })),
  constant: rounded(fit.constant),
  memory: rounded(fit.memory),
  explained: rounded(fit.explained),
  days,
})

const knownDays = (values: Float64Array, spacing: number): number =>
  (values.reduce((count, value) => count + (Number.isNaN(value) ? 0 : 1), 0) * spacing) / 86_400

const outdoorsOf = ({ outdoors, spacing }: Courses): Influencing[] =>
  outdoors
    ? [
        {
          of: 'outdoors',
          kind: 'outdoors',
          lags: throughWalls,
          columns: throughWalls.map(lag => lagged(outdoors, lag, spacing)),
          nonNegative: true,
        },
      ]
    : []

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
})

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
    const hours = weekColumns(courses)
      .map(fresh)
      .filter(column => varianceOf(column) > 1e-9)
    const fit = linearFit(hours, one.course)
    const squares = one.course.reduce((sum, value) => sum + value ** 2, 0)
    const correlation = fit && squares > 0 ? Math.sqrt(Math.max(0, 1 - fit.squares / squares)) : 0
    if (correlation >= tooAlike) found.push({ a: one.id, b: 'week', correlation })
  })
  return found
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
