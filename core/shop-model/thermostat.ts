import { quantile } from '../statistics/quantile.js'
import type { Courses } from './courses.js'
import type { Drive } from './drives.js'
import { known } from './known.js'

/** times that a source must have gone on and off to tell. Judgement, no source */
const fewest = 8
/**
 * How much the air differs from one time a source goes on to the next (or from one time it goes off), as a part of how much it
 * differs in the half hours around: below this it is the air that decides. Judgement, no source.
 */
const decides = 0.6
/** the same of going off alone: a source that goes off at one temperature answers the air, whatever turns it on (a set value raised each morning) */
const ends = 0.2
/** a vent whose supply moves so many times as much as any air of the shop is led by the air. Judgement, no source */
const leads = 2
/** 0..1; a vent that is off for so much of the time keeps hours, and is not led; K: then the air beside it is so near the shop's */
const restsFor = 0.25
const asAround = 0.5
/** times a day that the air beside a vent leaves and meets the shop's, beyond which no hours switch it; it is led then. Judgement */
const meets = 40

/**
 * Whether the air's own temperature leads a source: a heat source that goes on at one and the same temperature of some place in the
 * shop's air and off at another, however that wanders otherwise, or a vent whose supply moves more than the air it keeps. Such a
 * source is the shop's heating or cooling. It answers what else happens, and is no cause of its own there; beside it, its stream of
 * air still counts.
 */
export const answersTheAir = (
  courses: Pick<Courses, 'places' | 'spacing' | 'length'>,
  drive: Pick<Drive, 'source' | 'active'>,
): boolean => {
  const { source, active } = drive
  if (source.kind === 'door') return false
  const inShop = courses.places.filter(({ kind }) => kind === 'shop air').map(({ temperature }) => temperature)
  const days = (courses.length * courses.spacing) / 86_400
  const off = changes(active, false)
  if (source.kind === 'vent') return source.beside !== null && isLed(source.beside, inShop, off.length / days)
  const on = changes(active, true)
  if (Math.min(off.length, on.length) < fewest) return false
  // at the last whole interval before it goes on, or off
  const steady = (temperature: Float64Array, at: readonly number[]) => {
    // from one time to the next, so that a value that is lowered at night spoils nothing
    const apart = (by: number) =>
      known(at.slice(1).map((i, k) => Math.abs(temperature[i + by]! - temperature[at[k]! + by]!)))
    // the same hours before and after, whatever the source did then
    const around = [-24, -18, -12, -6, 6, 12, 18, 24].flatMap(by => apart(by - 1))
    const then = apart(-1)
    return then.length < fewest - 1 ? Number.POSITIVE_INFINITY : quantile(then, 0.5) / quantile(around, 0.5)
  }
  return inShop.some(temperature => {
    const atEnd = steady(temperature, off)
    return atEnd < ends || (atEnd < decides && steady(temperature, on) < decides)
  })
}

/** Intervals in which a source goes on, or off. */
const changes = (active: Float64Array, on: boolean): number[] => {
  const found: number[] = []
  for (let i = 1; i < active.length; i++) if (active[i]! > 0.5 === on && active[i - 1]! > 0.5 !== on) found.push(i)
  return found
}

const isLed = (beside: Float64Array, inShop: readonly Float64Array[], metEachDay: number): boolean => {
  if (inShop.length === 0) return false
  const near = inShop.map(temperature => ({
    apart: quantile(known(temperature.map((t, i) => Math.abs(t - beside[i]!))), restsFor),
    spread: spread(known(temperature)),
  }))
  const nearest = near.reduce((a, b) => (b.apart < a.apart ? b : a))
  const moves = spread(known(beside))
  if (metEachDay > meets) return moves > leads * nearest.spread
  // while it rests, the air beside it is that of the shop
  return nearest.apart >= asAround && moves > leads * Math.min(...near.map(each => each.spread))
}

/** K; between the quarters: a set value that is lowered at night spoils it less than a standard deviation */
const spread = (values: readonly number[]): number => quantile(values, 0.75) - quantile(values, 0.25)
