import type { Score } from './score.js'

/** What an examination must show. A figure that could not be had (NaN) does not meet its bar. */
export interface Bar {
  name: string
  value: number
  unit: string
  least: number
  most: number
}

export const bars = (score: Score): Bar[] => [
  { name: 'falsely fit', value: score.falselyFitPerMillion, unit: 'per million', least: 0, most: 100 },
  { name: 'falsely unfit', value: score.falselyUnfitPercent, unit: '%', least: 0, most: 5 },
  ...[{ type: 'all axes', ...score.growth }, ...score.types].flatMap(({ type, medianOfAllowed, part95OfAllowed }) => [
    { name: `growth error, median, ${type}`, value: medianOfAllowed, unit: 'of allowed', least: 0, most: 1 },
    { name: `growth error, 95th percentile, ${type}`, value: part95OfAllowed, unit: 'of allowed', least: 0, most: 1 },
  ]),
  { name: 'ready time, median error', value: score.readyWhenOver.errorMedian, unit: 'min', least: 0, most: 15 },
  {
    name: 'ready time, coverage of the 90 % interval',
    value: score.readyWhenOver.coverage,
    unit: '%',
    least: 85,
    most: 95,
  },
  {
    name: 'verdict changes of a machine and day under a thermostat',
    value: score.verdictChangesUnderThermostat,
    unit: '',
    least: 0,
    most: 6,
  },
  { name: 'unknown with healthy sensors', value: score.unknownHealthyPercent, unit: '%', least: 0, most: 2 },
]

export const isMet = ({ value, least, most }: Bar): boolean => value >= least && value <= most
