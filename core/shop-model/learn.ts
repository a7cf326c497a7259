import { drawing } from '../statistics/drawing.js'
import { quantile } from '../statistics/quantile.js'
import { correlationOf } from './correlation.js'
import { type Courses, type Place, weekColumns } from './courses.js'
import { type Drive, drives } from './drives.js'
import { type Acting, actingOn, held, runHalls } from './hall.js'
import { learnHall, rounded } from './hall-fit.js'
import { known, varianceOf } from './known.js'
import { lagged } from './lag.js'
import type { HallModel, Influence, PlaceModel, ShopModel } from './model.js'
import { type Group, type RidgeFit, ridgeFit } from './ridge.js'
import { answersTheAir } from './thermostat.js'

/** s; a source reaches what stands beside it by its own stream of air as well */
const beside = [150, 600]
/** s; the air of the shop reaches a machine by mixing, a coolant through its tank */
const mixing = [0, 900]
const throughTank = [1200, 4800, 14_400]
/** places that one exchanges air with */
const mostNeighbours = 3
/** days of history that a place must be known in. Judgement: a model of a week that saw less than three days of it is none */
export const fewestDays = 3
/**
 * correlation from which two pulls cannot be told apart. Judgement: openings told to the minute by two contacts, or by the air beside
 * two doors, correlate less than the doors do
 */
const tooAlike = 0.8

interface Influencing extends Group {
  of: string
  kind: Influence['kind']
  lags: number[]
}

/**
 * Learns how the air and the coolants of a shop respond. The places in the shop's air (or the air at machines, where it has none)
 * are halls, each with its heating and cooling: see `learnHall`. The air at a machine follows those places, and each source by its
 * own stream; a coolant follows the air at its machine and its chiller's hours. Gains are not negative: heat flows from warm to cold.
 *
 * In steps, for it takes some seconds.
 *
 * @param at ms
 * @param rests the sensors it comes from, in words
 */
export function* learning(courses: Courses, shop: string, at: number, rests: string): Generator<void, ShopModel> {
  const { from, spacing, length, places } = courses
  const pulls = drives(courses)
  const inShop = places.filter(({ kind }) => kind === 'shop air')
  const inHalls = inShop.length > 0 ? inShop : places.filter(({ kind }) => kind === 'machine air')
  const halls = yield* learnHalls(
    inHalls,
    courses,
    pulls.filter(drive => !answersTheAir(courses, drive) && !isUnseen(drive)),
  )
  const byStream = pulls.map(
    (drive): Influencing => ({
      of: drive.source.id,
      kind: 'source',
      lags: beside,
      nonNegative: true,
      columns: beside.map(lag => lagged(drive.pull, lag, spacing, 0)),
    }),
  )
  const fromPlace = (place: Place, lags: number[]): Influencing => ({
    of: place.id,
    kind: 'place',
    lags,
    nonNegative: true,
    columns: lags.map(lag => lagged(place.temperature, lag, spacing)),
  })
  const learned: PlaceModel[] = []
  for (const place of places) {
    if (inHalls.includes(place)) continue
    yield
    const airs = places.filter(({ kind, machine }) => kind === 'machine air' && machine === place.machine)
    const influences =
      place.kind === 'coolant'
        ? [...airs.map(air => fromPlace(air, throughTank)), weekOf(courses)]
        : [...inShop.map(air => fromPlace(air, mixing)), ...byStream]
    // columns that hardly move tell nothing
    const moving = influences.filter(({ columns }) => columns.some(column => varianceOf(column) > 1e-9))
    const fit = ridgeFit(place.temperature, moving, drawing(12_345))
    const days = knownDays(place.temperature, spacing)
    if (fit && days >= fewestDays) learned.push(placeModel(place.id, moving, fit, days))
  }
  return {
    shop,
    at,
    from,
    to: from + length * spacing * 1000,
    spacing,
    rests,
    halls,
    places: learned,
    alike: alikePulls(courses, pulls),
  }
}

/** Whether a source of heat did not run: nothing tells how strong it is, not even about. */
const isUnseen = ({ towards, part }: Drive): boolean => towards === null && part.every(value => !(Math.abs(value) > 0))

/** Each hall by itself with its neighbours as they were measured, then with its neighbours as they run along. */
function* learnHalls(
  places: readonly Place[],
  courses: Courses,
  pulls: readonly Drive[],
): Generator<void, HallModel[]> {
  const all = actingOn(courses, pulls)
  /** A source acts on the air that it is in; the shop's other places feel it by exchanging air with that one. */
  const actingIn = (place: Place): Acting => {
    const isElsewhere = ({ around: [one, another] }: Drive) => one!.kind === 'shop air' && !another && one !== place
    const here = pulls.filter(drive => !isElsewhere(drive))
    return { ...all, pulls: new Map(here.map(drive => [drive.source.id, drive])) }
  }
  const able = places.filter(({ temperature }) => knownDays(temperature, courses.spacing) >= fewestDays)
  const measured = new Map(able.map(({ id, temperature }) => [id, held(temperature)]))
  const halls: HallModel[] = []
  const learn = function* (place: Place, around: ReadonlyMap<string, Float64Array>, first: HallModel | null) {
    const neighbours = first?.neighbours ?? nearestOf(place, able)
    const hall = yield* learnHall(
      place,
      neighbours,
      courses,
      actingIn(place),
      around,
      drawing(12_345),
      first,
      first !== null || able.length < 2,
    )
    return hall && { ...hall, days: knownDays(place.temperature, courses.spacing) }
  }
  for (const place of able) {
    const hall = yield* learn(place, measured, null)
    if (hall) halls.push(hall)
  }
  if (halls.length < 2) return halls
  // a neighbour's own deviations say nothing of the exchange with it
  const running = halls.map(hall => ({ hall, values: hall.values }))
  const { air } = runHalls(running, courses, all, measured, { together: true })
  const ran = new Map([...measured, ...halls.map(({ place }, z) => [place, air[z]!] as const)])
  const again: HallModel[] = []
  for (const hall of halls) {
    const place = able.find(({ id }) => id === hall.place)!
    const found = yield* learn(place, new Map([...ran, [place.id, measured.get(place.id)!]]), hall)
    again.push(found ?? hall)
  }
  return again
}

/** The places whose air is most like that of one. */
const nearestOf = (place: Place, all: readonly Place[]): string[] =>
  all
    .filter(other => other !== place)
    .map(({ id, temperature }) => {
      const apart = temperature.map((value, i) => Math.abs(value - place.temperature[i]!))
      return { id, apart: quantile(known(apart), 0.5) }
    })
    .sort((a, b) => a.apart - b.apart)
    .slice(0, mostNeighbours)
    .map(({ id }) => id)

const placeModel = (place: string, moving: readonly Influencing[], fit: RidgeFit, days: number): PlaceModel => ({
  place,
  influences: moving.map(({ of, kind, lags }, g) => ({
    of,
    kind,
    lags,
    factors: fit.factors[g]!.map(rounded),
    drawn: fit.drawn.map(drawn => drawn[g]!.map(rounded)),
  })),
  constant: rounded(fit.constant),
  memory: rounded(fit.memory),
  explained: rounded(fit.explained),
  days,
})

const knownDays = (values: Float64Array, spacing: number): number => (known(values).length * spacing) / 86_400

/** What comes again each day or week, see `weekColumns`. */
const weekOf = (courses: Courses): Influencing => {
  const columns = weekColumns(courses)
  return { of: 'week', kind: 'week', lags: columns.map((_, k) => k), columns, nonNegative: false }
}

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
  })
  return found
}
