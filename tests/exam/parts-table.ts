import type { Bar } from './bars.js'
import type { PartsCase, PartsRecord } from './parts.js'
import { quantile } from './quantile.js'

interface PartsScore {
  heated: number
  heatSaidPercent: number
  mostSaidPercent: number
  unheated: number
  heatSaidWronglyPercent: number
  shareCoveragePercent: number
  /** of what heat truly moved, that the prediction was off: median and 95th percentile, % */
  predictionErrorMedianPercent: number
  predictionError95Percent: number
  conclusions: Record<string, number>
  unheatedConclusions: Record<string, number>
  doubts: Record<string, number>
}

const percent = (part: number, whole: number): number => (whole > 0 ? (100 * part) / whole : Number.NaN)
const counted = (all: readonly string[]): Record<string, number> => {
  const counts: Record<string, number> = {}
  for (const each of all) counts[each] = (counts[each] ?? 0) + 1
  return counts
}

export const partsScore = (records: readonly PartsRecord[]): PartsScore => {
  const all = records.flatMap(({ cases }) => cases)
  const isHeat = ({ conclusion }: PartsCase) => conclusion === 'most' || conclusion === 'part'
  const heated = all.filter(({ heat }) => heat > 0)
  const unheated = all.filter(({ heat }) => heat === 0)
  const covered = heated.filter(
    ({ explained, heat }) =>
      explained !== null &&
      (explained.low ?? Number.NEGATIVE_INFINITY) <= heat &&
      (explained.high ?? Number.POSITIVE_INFINITY) >= heat,
  )
  const off = all.map(({ predictionError, movement }) => percent(predictionError, movement))
  return {
    heated: heated.length,
    heatSaidPercent: percent(heated.filter(isHeat).length, heated.length),
    mostSaidPercent: percent(heated.filter(({ conclusion }) => conclusion === 'most').length, heated.length),
    unheated: unheated.length,
    heatSaidWronglyPercent: percent(unheated.filter(isHeat).length, unheated.length),
    shareCoveragePercent: percent(covered.length, heated.length),
    predictionErrorMedianPercent: quantile(off, 0.5),
    predictionError95Percent: quantile(off, 0.95),
    conclusions: counted(heated.map(({ conclusion }) => conclusion)),
    unheatedConclusions: counted(unheated.map(({ conclusion }) => conclusion)),
    doubts: counted(heated.filter(({ conclusion }) => conclusion === 'cannot be told').flatMap(({ doubts }) => doubts)),
  }
}

export const partsBars = (of: PartsScore): Bar[] => [
  { name: 'heat said where it made half or more', value: of.heatSaidPercent, unit: '%', least: 95, most: 100 },
  { name: 'heat said where it made nothing', value: of.heatSaidWronglyPercent, unit: '%', least: 0, most: 5 },
  {
    name: 'share explained, coverage of the 90 % interval',
    value: of.shareCoveragePercent,
    unit: '%',
    least: 85,
    most: 95,
  },
]

const listed = (counts: Record<string, number>): string =>
  Object.entries(counts)
    .map(([name, count]) => `${count} ${name}`)
    .join(', ') || 'none'

export const partsTable = (of: PartsScore): string =>
  [
    `${of.heated} features of which heat made half of the variance or more: ${listed(of.conclusions)}`,
    `  could not be told for: ${listed(of.doubts)}`,
    `  the interval of the share covers the true one in ${of.shareCoveragePercent.toFixed(1)} %`,
    `${of.unheated} features of which it made nothing: ${listed(of.unheatedConclusions)}`,
    `  predictions are off by ${of.predictionErrorMedianPercent.toFixed(0)} % (median) and ${of.predictionError95Percent.toFixed(0)} % (95th percentile) of what heat truly moved`,
    '  The truth: size error and shift since the zero in the simulator; tools, lots and set-ups are drawn.',
  ].join('\n')
