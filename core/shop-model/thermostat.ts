import { quantile } from '../statistics/quantile.js'
import type { Place } from './courses.js'
import type { Drive } from './drives.js'

/** times that a source must have gone off to tell. Judgement, no source */
const fewest = 24
/** how much the air changes from one time it goes off to the next, against the same half hours about it, below which it decides. Judgement */
const decides = 0.55
/** a vent whose supply moves so many times as much as any air of the shop is led. Judgement, no source */
const leads = 2
/** 0..1; a vent that is off for so much of the time keeps hours, and is not led; K: then the air beside it is so near the shop's */
const restsFor = 0.25
const asAround = 0.5

/**
 * Whether the air's own temperature leads a source: a heat source that goes off at one and the same temperature of some place in the
 * shop's air, however that wanders otherwise, or a vent whose supply moves more than the air it keeps. Such a source is the shop's
 * heating. It answers what cools the shop, and is no cause of its own there; beside it, its stream of air still counts.
 */
export const answersTheAir = (places: readonly Place[], { source, active }: Drive): boolean => {
  const inShop = places.filter(({ kind }) => kind === 'shop air')
  if (source.kind === 'door') return false
  if (source.kind === 'vent') {
    const { beside } = source
    if (!beside) return false
    // while it rests, the air beside it is that of the shop
    const rests = inShop.some(({ temperature }) => {
      const apart = known([...temperature].map((t, i) => Math.abs(t - beside[i]!)))
      return quantile(apart, restsFor) < asAround
    })
    const steadiest = Math.min(...inShop.map(({ temperature }) => spread(known([...temperature]))))
    return !rests && spread(known([...beside])) > leads * steadiest
  }
  const ends: number[] = []
  for (let i = 1; i < active.length; i++) if (active[i - 1]! > 0.5 && !(active[i]! > 0.5)) ends.push(i)
  if (ends.length < fewest) return false
  return inShop.some(({ temperature }) => {
    // from one time to the next, so that a value that is lowered at night spoils nothing
    const apart = (by: number) =>
      known(ends.slice(1).map((i, k) => Math.abs(temperature[i + by]! - temperature[ends[k]! + by]!)))
    const atEnd = apart(0)
    // the same hours before and after, whatever the source did then
    const around = [-24, -18, -12, -6, 6, 12, 18, 24].flatMap(apart)
    return atEnd.length >= fewest - 1 && quantile(atEnd, 0.5) < decides * quantile(around, 0.5)
  })
}

const known = (values: readonly number[]): number[] => values.filter(value => !Number.isNaN(value))

/** K; between the quarters: a set value that is lowered at night spoils it less than a standard deviation */
const spread = (values: readonly number[]): number => quantile(values, 0.75) - quantile(values, 0.25)
