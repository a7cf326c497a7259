import {
  formatLength,
  formatMoment,
  formatTemperature,
  formatTolerance,
  type UnitSystem,
  type Zone,
} from '../../core/format.js'
import type { JobFeature, PlannedJob } from '../../core/morning/index.js'
import { unbroken } from '../words.js'

/** the feature with the narrowest tolerance */
export const closestFeature = ({ features }: PlannedJob): JobFeature =>
  features.reduce((a, b) => (b.tolerance < a.tolerance ? b : a))

/** "bore Ø 120 mm H7, 35 µm" */
export const featureWords = (feature: JobFeature, system: UnitSystem): string => {
  const size = `${feature.diameter ? 'Ø ' : ''}${formatLength(feature.length, system)}`
  const grade = feature.grade ? ` ${feature.grade}` : ''
  return unbroken(
    `${[feature.name, size].filter(Boolean).join(' ')}${grade}, ${formatTolerance(feature.tolerance, system)}`,
  )
}

/** where the part comes from */
export const fromWords = (from: PlannedJob['from'], system: UnitSystem, now: number, zone: Zone): string => {
  switch (from.kind) {
    case 'shop':
      return from.since === undefined
        ? 'in the shop for long'
        : `in the shop since ${formatMoment(from.since, now, zone)}`
    case 'outdoors':
      return `from outdoors, brought in ${formatMoment(from.broughtIn, now, zone)}`
    case 'store':
      return `from a store at ${formatTemperature(from.temperature, system)}, brought in ${formatMoment(from.broughtIn, now, zone)}`
  }
}
