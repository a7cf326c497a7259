import { quantile } from '../statistics/quantile.js'
import type { Place } from './courses.js'
import type { Drive } from './drives.js'

/** times that a source must have gone off to tell. Judgement, no source */
const fewest = 6
/** the air's spread when it goes off, against its spread at the same hours otherwise, below which its temperature decides. Judgement */
const decides = 0.35

/**
 * Whether the air's own temperature switches a heat source: it goes off at one and the same temperature of some place in the shop's
 * air, however that wanders otherwise. Such a source is the shop's heating. It answers what cools the shop, and is no cause of its
 * own there; beside it, its stream of air still warms.
 */
export const isThermostat = (places: readonly Place[], { source, active }: Drive): boolean => {
  if (source.kind !== 'heat source') return false
  const ends: number[] = []
  for (let i = 1; i < active.length; i++) if (active[i - 1]! > 0.5 && !(active[i]! > 0.5)) ends.push(i - 1)
  if (ends.length < fewest) return false
  return places.some(({ kind, temperature }) => {
    if (kind !== 'shop air') return false
    const atEnd = known(ends.map(i => temperature[i]!))
    // the same hours before and after, whatever the source did then
    const around = known(
      ends.flatMap(i => [-24, -18, -12, -6, 6, 12, 18, 24].map(k => temperature[i + k] ?? Number.NaN)),
    )
    return atEnd.length >= fewest && spread(atEnd) < decides * spread(around)
  })
}

const known = (values: readonly number[]): number[] => values.filter(value => !Number.isNaN(value))

/** K; between the quarters: a set value that is lowered at night spoils it less than a standard deviation */
const spread = (values: readonly number[]): number => quantile(values, 0.75) - quantile(values, 0.25)
