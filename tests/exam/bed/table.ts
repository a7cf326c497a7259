import { quantile } from '../../../core/statistics/index.js'
import type { Bar } from '../bars.js'
import type { BedRecord } from './bed.js'
import { bedFaults } from './probe.js'

const sites = ['mill', 'rooms'] as const

/** Runs without a planted fault: those with one live the same days again. */
const healthyOf = (records: readonly BedRecord[], site: BedRecord['site']): BedRecord[] =>
  records.filter(r => r.site === site && r.fault === null)

/** false suspects a sensor and month */
const rate = (records: readonly BedRecord[]): number =>
  records.reduce((sum, r) => sum + r.falseSuspects.length, 0) / records.reduce((sum, r) => sum + r.sensorMonths, 0)

/** Healthy sensors that were doubted on the test bed, and how soon broken ones were found. */
export const bedLines = (records: readonly BedRecord[]): string[] => [
  ...sites.map(site => {
    const of = healthyOf(records, site)
    const falsely = of.flatMap(r => r.falseSuspects)
    const kinds = [...new Set(falsely.map(({ kind }) => kind))].sort()
    const months = of.reduce((sum, r) => sum + r.sensorMonths, 0)
    const longest = Math.max(0, ...falsely.map(({ hours }) => hours ?? 0))
    return (
      `${site}: ${falsely.length} false suspects in ${months.toFixed(1)} months of sensors (${rate(of).toFixed(3)} a sensor and month)` +
      kinds.map(kind => `, ${falsely.filter(s => s.kind === kind).length} ${kind}`).join('') +
      (falsely.length ? `; longest ${longest.toFixed(1)} h` : '')
    )
  }),
  ...bedFaults.map(kind => {
    const of = records.flatMap(({ fault }) => (fault?.kind === kind ? [fault] : []))
    const found = of.flatMap(({ foundAfter }) => foundAfter ?? [])
    const ranges = [0.25, 0.5, 0.75].map(part => quantile(found, part).toFixed(1)).join(', ')
    return `fault "${kind}": found ${found.length} of ${of.length}; quarter, half, three quarters of these after ${ranges} h`
  }),
]

export const bedBars = (records: readonly BedRecord[]): Bar[] =>
  sites.map(site => ({
    name: `false suspects a sensor and month, ${site}`,
    value: rate(healthyOf(records, site)),
    unit: '',
    least: 0,
    most: 0.05,
  }))
