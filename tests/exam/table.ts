import { type Bar, bars, isMet } from './bars.js'
import type { ExamRecord } from './records.js'
import { type ReadyScore, type Score, score } from './score.js'

const number = (value: number, decimals: number, width: number): string =>
  (Number.isNaN(value) ? '–' : value.toFixed(decimals)).padStart(width)

const growthTable = (of: Score, byAxis: boolean): string[] => {
  const rows = byAxis
    ? of.axes.map(axis => ({ name: `${axis.machine} ${axis.axis}`, ...axis }))
    : [
        { name: 'all axes', ...of.growth },
        { name: '  in working hours', ...of.growthAtWork },
        ...of.types.map(type => ({ name: `${type.type} (${type.axes} axes)`, ...type })),
      ]
  return [
    `${'growth at the work, µm'.padEnd(32)}median |true|  median error  95 % error   of allowed: median  95 %`,
    ...rows.map(
      row =>
        row.name.padEnd(32) +
        number(row.growthMedian, 1, 13) +
        number(row.errorMedian, 2, 14) +
        number(row.error95, 2, 12) +
        number(row.medianOfAllowed, 2, 21) +
        number(row.part95OfAllowed, 2, 6) +
        (row.medianOfAllowed <= 1 && row.part95OfAllowed <= 1 ? '' : '  ← over'),
    ),
  ]
}

const readyLine = (name: string, ready: ReadyScore): string =>
  `${name.padEnd(38)}median error ${number(ready.errorMedian, 0, 4)} min, ${number(Math.abs(ready.lateMedian), 0, 3)} min too ${ready.lateMedian < 0 ? 'early' : 'late'} (median), interval covers ${number(ready.coverage, 1, 5)} %, ${ready.samples} samples`

/** The figures of an examination as a table. */
export const table = (of: Score, byAxis: boolean): string =>
  [
    ...growthTable(of, byAxis),
    ...(byAxis ? ['', ...growthTable(of, false)] : []),
    '',
    readyLine('ready time found, waits under 8 h', of.ready),
    readyLine('  while there was a wait (has the bars)', of.readyWhenOver),
    `${'settling without a time to show'.padEnd(38)}${number(of.settlingWithoutTimePercent, 1, 0)} % of settling`,
    '',
    `${'falsely fit'.padEnd(38)}${number(of.falselyFitPerMillion, 0, 0)} per million samples, ${number(of.falselyFitOfFitPerMillion, 0, 0)} per million fit ones, in ${of.shopsWithFalselyFit} shops`,
    `${"  if this instant's conditions held".padEnd(38)}${number(of.falselyFitInstantPerMillion, 0, 0)} per million samples (no bar: what began a moment ago cannot be known)`,
    `${'falsely unfit'.padEnd(38)}${number(of.falselyUnfitPercent, 1, 0)} % of all samples (${number(of.falselySettlingPercent, 1, 0)} % as settling); ${number(of.unguardedUnfitPercent, 1, 0)} % outside the guard band`,
    `${'fit, settling, unfit, unknown'.padEnd(38)}${[of.fitPercent, of.settlingPercent, of.unfitPercent].map(p => `${number(p, 1, 0)} %`).join(', ')}, ${number(of.unknownPercent, 2, 0)} % (healthy shops ${number(of.unknownHealthyPercent, 2, 0)} %)`,
    `${'verdict changes'.padEnd(38)}${number(of.verdictChangesPerMachineAndDay, 1, 0)} a machine and day, ${number(of.verdictChangesPerClassAndDay, 1, 0)} a machine, work class and day`,
    `${'  under a thermostat'.padEnd(38)}${number(of.verdictChangesUnderThermostat, 1, 0)} a machine and day; more than 6 on ${number(of.restlessDaysPercent, 0, 0)} % of days`,
    `${'    the true error crossed the share'.padEnd(38)}${number(of.trueChangesUnderThermostat, 1, 0)} times a machine and day there (seen every five minutes)`,
  ].join('\n')

const within = ({ least, most, unit }: Bar): string =>
  `${least > 0 ? `${least} to ${most}` : `at most ${most}`} ${unit}`.trim()

/** Every bar with its figure; those missed stand out. */
export const barTable = (all: readonly Bar[]): string =>
  [
    'bars',
    ...all.map(
      bar => `  ${isMet(bar) ? 'met   ' : 'MISSED'}  ${bar.name.padEnd(58)}${number(bar.value, 2, 9)}   ${within(bar)}`,
    ),
  ].join('\n')

/** One line for each shop. */
export const shopTable = (records: readonly ExamRecord[]): string =>
  [
    'shop       machines  growth median, 95 %   falsely fit  falsely unfit  fit  unknown  changes  ready error  covers',
    ...records.map(record => {
      const of = score([record])
      return (
        `${String(record.shop).padEnd(9)}${String(record.machines.length).padStart(10)}` +
        number(of.growth.medianOfAllowed, 2, 15) +
        number(of.growth.part95OfAllowed, 2, 7) +
        number(of.falselyFitPerMillion, 0, 14) +
        `${number(of.falselyUnfitPercent, 0, 13)} %` +
        `${number(of.fitPercent, 0, 4)} %` +
        `${number(of.unknownPercent, 1, 6)} %` +
        number(of.verdictChangesPerMachineAndDay, 1, 9) +
        `${number(of.readyWhenOver.errorMedian, 0, 9)} min` +
        `${number(of.readyWhenOver.coverage, 0, 6)} %` +
        (record.healthy ? '' : '  sensor faults') +
        (record.refused ? `  ${record.refused} messages refused` : '')
      )
    }),
  ].join('\n')

/** Every machine and work class, with the moments it was falsely fit. */
export const classTable = (records: readonly ExamRecord[]): string =>
  [
    'machine, work class                   fit  settling  unfit  unknown  % of samples; falsely fit, falsely unfit, changes a day',
    ...records.flatMap(record =>
      record.classes.flatMap(c => {
        const part = (n: number) => number((100 * n) / c.samples, 1, 8)
        return [
          `${`${record.shop || ''} ${c.machine} ${c.workClass}`.trim().padEnd(35)}${part(c.count.fit)}${part(c.count.settling)}${part(c.count.unfit)}${part(c.count.unknown)}   ${c.falselyFit}, ${part(c.falselyUnfit).trim()} %, ${(c.changes / record.counted).toFixed(1)}`,
          ...c.worst
            .slice(0, 5)
            .map(
              w =>
                `    ${new Date(w.at).toISOString()}  true ${(w.error * 1e6).toFixed(2)} µm over ${(w.granted * 1e6).toFixed(2)} µm`,
            ),
        ]
      }),
    ),
  ].join('\n')

/** The figures with flat names and their units. */
export const figures = (of: Score): Record<string, number> => ({
  growthErrorMedianMicrometres: of.growth.errorMedian,
  growthError95Micrometres: of.growth.error95,
  growthErrorMedianOfAllowed: of.growth.medianOfAllowed,
  growthError95OfAllowed: of.growth.part95OfAllowed,
  growthErrorMedianInWorkingHoursOfAllowed: of.growthAtWork.medianOfAllowed,
  growthError95InWorkingHoursOfAllowed: of.growthAtWork.part95OfAllowed,
  readyErrorMedianMinutes: of.ready.errorMedian,
  readyLateMedianMinutes: of.ready.lateMedian,
  readyCoveragePercent: of.ready.coverage,
  readySamples: of.ready.samples,
  readyErrorMedianWhenOverMinutes: of.readyWhenOver.errorMedian,
  readyLateMedianWhenOverMinutes: of.readyWhenOver.lateMedian,
  readyCoverageWhenOverPercent: of.readyWhenOver.coverage,
  readySamplesWhenOver: of.readyWhenOver.samples,
  settlingWithoutTimePercent: of.settlingWithoutTimePercent,
  falselyFitPerMillion: of.falselyFitPerMillion,
  falselyFitOfFitPerMillion: of.falselyFitOfFitPerMillion,
  falselyFitInstantPerMillion: of.falselyFitInstantPerMillion,
  shopsWithFalselyFit: of.shopsWithFalselyFit,
  falselyUnfitPercent: of.falselyUnfitPercent,
  falselySettlingPercent: of.falselySettlingPercent,
  unguardedUnfitPercent: of.unguardedUnfitPercent,
  fitPercent: of.fitPercent,
  settlingPercent: of.settlingPercent,
  unfitPercent: of.unfitPercent,
  unknownPercent: of.unknownPercent,
  unknownHealthyPercent: of.unknownHealthyPercent,
  verdictChangesPerMachineAndDay: of.verdictChangesPerMachineAndDay,
  verdictChangesPerClassAndDay: of.verdictChangesPerClassAndDay,
  verdictChangesUnderThermostatPerMachineAndDay: of.verdictChangesUnderThermostat,
  trueChangesUnderThermostatPerMachineAndDay: of.trueChangesUnderThermostat,
  restlessDaysPercent: of.restlessDaysPercent,
  barsMissed: bars(of).filter(bar => !isMet(bar)).length,
})
