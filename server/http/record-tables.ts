import { DateTime } from 'luxon'
import { type Reader, saySensorFault } from '../../core/sentences/index.js'
import { type Cell, csv, isoTime } from '../csv.js'
import type { EnvironmentRecord } from '../studies/records/record.js'

/** the tables of a record, each a CSV */
export const recordTables = ['sensors', 'limits', 'excursions', 'gaps', 'not-believed', 'intervals'] as const
type RecordTable = (typeof recordTables)[number]

/** units of an excursion's numbers */
const unitOf = { band: '°C', rate: 'K/h', swing: 'K', gradient: 'K/m' } as const
const hours = (duration: number): number => duration / 3_600_000

/**
 * A table of a record as CSV. Times are given twice: UTC, and the shop's with its difference from UTC, so that the hour
 * that clocks repeat is told apart.
 */
export const recordCsv = (record: EnvironmentRecord, table: RecordTable, reader: Reader, timeZone: string): string => {
  const shops = (at: number | null) =>
    at === null ? null : DateTime.fromMillis(at, { zone: timeZone }).toISO({ suppressMilliseconds: true })
  const both = (at: number | null): Cell[] => [isoTime(at), shops(at)]
  const [from, to] = [
    ['fromUtc', 'fromShopTime'],
    ['toUtc', 'toShopTime'],
  ] as const
  const { sensors, kept, notBelieved, interval } = record
  const names = new Map(sensors.map(({ sensor }) => [sensor.id, sensor.name]))
  const named = (ids: readonly string[]) => ids.map(id => names.get(id) ?? id).join(' and ')
  switch (table) {
    case 'sensors':
      return csv(
        [
          ...['sensor', 'name', 'heldAgainstLimits', ...from, ...to, 'minimumCelsius', 'maximumCelsius', 'meanCelsius'],
          ...['standardDeviationKelvin', 'readings', 'intervalsKnown', 'intervals', 'intervalMinutes'],
          ...['reportIntervalSeconds', 'standardUncertaintyKelvin', 'offsetsKelvin', 'calibrated', 'calibrationDue'],
          ...['certificate', 'daysOverdue'],
        ],
        sensors.map(({ sensor, judged, statistics: s, offsets, overdue }) => [
          ...[sensor.id, sensor.name, judged, ...both(record.from), ...both(record.to)],
          ...[s.minimum, s.maximum, s.mean, s.standardDeviation, s.readings, s.known, s.intervals, interval / 60_000],
          ...[sensor.interval, sensor.uncertainty],
          offsets.map(({ since, offset }) => `${offset} since ${shops(since)}`).join('; '),
          ...[sensor.calibration?.date ?? null, sensor.calibration?.due ?? null],
          ...[sensor.calibration?.certificate ?? null, overdue],
        ]),
      )
    case 'limits':
      return csv(
        ['limit', ...from, ...to, 'hoursWithin', 'hoursOutside', 'hoursNotKnown'],
        (kept ? [...kept.limits, { limit: 'any', ...kept.all }] : []).map(({ limit, within, outside, notKnown }) => [
          ...[limit, ...both(record.from), ...both(record.to)],
          ...[hours(within), hours(outside), hours(notKnown)],
        ]),
      )
    case 'excursions':
      return csv(
        ['limit', ...from, ...to, 'hours', 'worst', 'beyondLimit', 'unit', 'worstAtUtc', 'worstAtShopTime', 'sensors'],
        (kept?.excursions ?? []).map(each => [
          ...[each.limit, ...both(each.from), ...both(each.to), hours(each.to - each.from), each.worst, each.beyond],
          ...[unitOf[each.limit], ...both(each.worstAt), named(each.sensors)],
        ]),
      )
    case 'gaps':
      return csv(
        ['sensor', 'name', ...from, ...to, 'hours', 'why'],
        sensors.flatMap(({ sensor, gaps }) =>
          gaps.map(gap => [
            ...[sensor.id, sensor.name, ...both(gap.from), ...both(gap.to), hours(gap.to - gap.from), gap.why],
          ]),
        ),
      )
    case 'not-believed':
      return csv(
        ['sensor', 'name', ...from, ...to, 'why'],
        notBelieved.map(each => [
          ...[each.sensor, named([each.sensor]), ...both(each.from), ...both(each.to)],
          [...new Set(each.faults.map(fault => saySensorFault(fault, reader).text))].join('; '),
        ]),
      )
    case 'intervals':
      return csv(
        ['sensor', ...from, 'meanCelsius', 'lowestCelsius', 'highestCelsius', 'readings'],
        sensors.flatMap(({ sensor, intervals }) =>
          intervals.flatMap((each, i) =>
            each ? [[sensor.id, ...both(record.from + i * interval), each.mean, each.min, each.max, each.count]] : [],
          ),
        ),
      )
  }
}
