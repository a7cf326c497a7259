import type { Bar } from './bars.js'
import { allColumns, type Column, type ColumnsRecord, type Count, columnNames, columns } from './columns.js'
import { ruleNames } from './naive-rules.js'
import type { NamedTime } from './named-times.js'
import { allForecasts, allKinds, type ForecastSums, horizons, nodeKinds } from './node-forecasts.js'
import { quantile } from './quantile.js'
import type { ExamRecord } from './records.js'
import { strictnessNames } from './strictness.js'
import type { SuspectsRecord } from './suspects.js'

const number = (value: number, decimals: number, width = 0): string =>
  (Number.isNaN(value) ? '–' : value.toFixed(decimals)).padStart(width)
const ratio = (part: number, whole: number): number => (whole > 0 ? part / whole : Number.NaN)
const perMillion = (part: number, whole: number): number => 1e6 * ratio(part, whole)
const percent = (part: number, whole: number): number => 100 * ratio(part, whole)

const countRow = (name: string, of: Count): string =>
  name.padEnd(42) +
  number(perMillion(of.falselyFit, of.samples), 0, 12) +
  number(perMillion(of.falselyFit, of.fit), 0, 14) +
  number(percent(of.fit, of.samples), 1, 7) +
  number(percent(of.falselyUnfit, of.samples), 1, 11) +
  number(percent(of.falselyUnfit - of.guarded, of.samples), 1, 13) +
  number(percent(of.workingFalselyUnfit, of.working), 1, 13) +
  String(of.samples).padStart(10)

const columnsTable = ({ service, rules, begun, wentOver }: ColumnsRecord): string[] => [
  'per million minutes, and %                 falsely fit  per million     fit    falsely  outside the   in working   samples',
  '                                                         fit ones               unfit   guard band        hours',
  ...columns.map(column => countRow(columnNames[column], service[column])),
  ...ruleNames.flatMap(rule => [
    `the naive rule: ${rule}`,
    ...columns.map(column => countRow(`  ${columnNames[column]}`, rules[rule][column])),
  ]),
  `jobs begun under fit that went over the share: ${wentOver} of ${begun} (${number(percent(wentOver, begun), 1)} of 100)`,
]

/** What less of the one costs of the other: rules less and more strict, by the same readings. */
const strictnessTable = ({ strictness }: ColumnsRecord, machineDays: number): string[] => [
  'the rule, the room it asks  falsely fit          falsely unfit outside   fit    becomes fit or    jobs over',
  'for as measured             held     as a job    held     as a job       %      ceases, a day     of begun',
  ...strictness.map(({ counts: { held, job }, begun, wentOver, changes }, i) => {
    const unguarded = ({ falselyUnfit, guarded, samples }: Count) => percent(falselyUnfit - guarded, samples)
    return (
      strictnessNames[i]!.padEnd(24) +
      number(perMillion(held.falselyFit, held.samples), 0, 8) +
      number(perMillion(job.falselyFit, job.samples), 0, 12) +
      `${number(unguarded(held), 1, 8)} %${number(unguarded(job), 1, 10)} %` +
      number(percent(held.fit, held.samples), 1, 11) +
      number(ratio(changes, machineDays), 1, 13) +
      `${String(wentOver).padStart(11)} of ${begun}`
    )
  }),
]

const forecastRow = (name: string, hours: number, of: ForecastSums): string => {
  const rms = (squares: number) => Math.sqrt(ratio(squares, of.count))
  return (
    `${name.padEnd(18)}${String(hours).padStart(3)} h` +
    number(rms(of.squares), 2, 7) +
    number(rms(of.persistenceSquares), 2, 8) +
    `${number(percent(of.covered, of.count), 0, 10)}${number(percent(of.persistenceCovered, of.count), 0, 6)}` +
    `${number(ratio(of.width, of.count), 2, 9)}${number(ratio(of.persistenceWidth, of.count), 2, 8)}` +
    `${number(ratio(of.score, of.count), 2, 10)}${number(ratio(of.persistenceScore, of.count), 2, 8)}` +
    String(of.count).padStart(9) +
    (of.count > 0 && (of.squares > of.persistenceSquares || of.score > of.persistenceScore) ? '  ← worse' : '')
  )
}

const forecastTable = (records: readonly ExamRecord[]): string[] => {
  const all = allForecasts(records.map(r => r.forecasts))
  return [
    'temperatures ahead, K     rms  stays   covers %: its   width: its   score: its   forecasts   (its: of "it stays as it is", by the',
    '                       error  as is   90 % band own    90 %    own     band    own              last seven days of the node)',
    ...horizons.map((h, i) => forecastRow('all nodes', h, allKinds(all)[i]!)),
    ...nodeKinds.flatMap(kind =>
      all[kind][0]!.count > 0 ? horizons.map((h, i) => forecastRow(kind, h, all[kind][i]!)) : [],
    ),
  ]
}

/** min; who is not ready within a day counts as a day */
const notWithinADay = 24 * 60

interface NamedScore {
  samples: number
  errorMedian: number
  lateMedian: number
  coverage: number
  laterThanLatest: number
  kept: number
  keptOf: number
}
const namedScore = (found: readonly NamedTime[]): NamedScore => {
  const named = found.filter(each => each.named)
  const waited = found.filter(({ already }) => !already)
  const late = waited.map(({ likely, came }) => likely - (came ?? notWithinADay))
  const inside = waited.filter(({ earliest, latest, came }) => came !== null && earliest <= came && came <= latest)
  return {
    samples: waited.length,
    errorMedian: quantile(late.map(Math.abs), 0.5),
    lateMedian: quantile(late, 0.5),
    coverage: percent(inside.length, waited.length),
    laterThanLatest: percent(
      waited.filter(({ latest, came }) => (came ?? notWithinADay) > latest).length,
      waited.length,
    ),
    kept: percent(named.filter(({ kept }) => kept).length, named.length),
    keptOf: named.length,
  }
}

/** How often healthy sensors were doubted, and how soon broken ones were found. */
export const suspectLines = (records: readonly SuspectsRecord[]): string[] => {
  const falsely = records.flatMap(r => r.falseSuspects)
  const months = records.reduce((sum, r) => sum + r.sensorMonths, 0)
  const kinds = [...new Set(falsely.map(({ kind }) => kind))].sort()
  const faults = records.flatMap(r => r.faults)
  const faultKinds = [...new Set(faults.map(({ kind }) => kind))].sort()
  return [
    `false suspects: ${falsely.length} in ${number(months, 1)} months of sensors (${number(ratio(falsely.length, months), 2)} a sensor and month)` +
      (kinds.length
        ? `: ${kinds.map(kind => `${falsely.filter(s => s.kind === kind).length} ${kind}`).join(', ')}`
        : ''),
    ...(falsely.length
      ? [
          `  longest ${number(Math.max(...falsely.map(({ hours }) => hours ?? 0)), 1)} h; ${falsely.filter(({ hours }) => hours === null).length} had not ended`,
        ]
      : []),
    ...faultKinds.map(kind => {
      const of = faults.filter(f => f.kind === kind)
      const found = of.flatMap(({ foundAfter }) => (foundAfter === null ? [] : [foundAfter]))
      return `  fault "${kind}": found ${found.length} of ${of.length}, after ${number(quantile(found, 0.5), 0)} min (median)`
    }),
  ]
}

/** how many of the times that the service found came true: as they were named, or where none was, as they were found */
const ownRecord = (fitBys: ExamRecord['fitBys']): Record<'named' | 'kept' | 'silent' | 'silentKept', number> => {
  const named = fitBys.filter(({ shown }) => shown)
  const silent = fitBys.filter(({ shown }) => !shown)
  const came = (of: typeof fitBys) =>
    of.filter(each => each.came !== null && each.came <= (each.fitBy ?? each.found)).length
  return { named: named.length, kept: came(named), silent: silent.length, silentKept: came(silent) }
}

/** What was said beside what then came: jobs, temperatures ahead, ready times, sensors. */
export const whatCameTable = (records: readonly ExamRecord[]): string => {
  const named = namedScore(records.flatMap(r => r.named))
  const own = ownRecord(records.flatMap(r => r.fitBys))
  const machineDays = records.reduce((sum, r) => sum + r.machines.length * r.counted, 0)
  const crossings = records.flatMap(r => r.machines).reduce((sum, m) => sum + m.trueChanges, 0)
  const changes = records.flatMap(r => r.classes).reduce((sum, c) => sum + c.changes, 0)
  const all = allColumns(records.map(r => r.columns))
  return [
    ...columnsTable(all),
    '',
    ...strictnessTable(all, machineDays),
    '',
    ...forecastTable(records),
    '',
    `ready times found, named or not, against what came: median error ${number(named.errorMedian, 0)} min (${number(Math.abs(named.lateMedian), 0)} min too ${named.lateMedian < 0 ? 'early' : 'late'}), interval covers ${number(named.coverage, 1)} %, ${number(named.laterThanLatest, 1)} % came later than "latest", ${named.samples} samples`,
    `"fit by" that came true: ${number(named.kept, 1)} % of ${named.keptOf}, as seen every quarter of an hour`,
    `  each time counted once, as the service itself notes them: ${own.kept} of ${own.named} named; of those found and not named ${own.silentKept} of ${own.silent}`,
    `verdict changes ${number(ratio(changes, machineDays), 1)} a machine and day; the true error crossed the share ${number(ratio(crossings, machineDays), 1)} times`,
    '',
    ...suspectLines(records.map(r => r.suspects)),
  ].join('\n')
}

const columnFigures = (column: Column, name: string, { service }: ColumnsRecord): Record<string, number> => ({
  [`falselyFit${name}PerMillion`]: perMillion(service[column].falselyFit, service[column].samples),
  [`falselyUnfit${name}Percent`]: percent(service[column].falselyUnfit, service[column].samples),
  [`falselyUnfit${name}InWorkingHoursPercent`]: percent(service[column].workingFalselyUnfit, service[column].working),
})

/** The same with flat names and their units. */
export const whatCameFigures = (records: readonly ExamRecord[]): Record<string, number> => {
  const all = allColumns(records.map(r => r.columns))
  const named = namedScore(records.flatMap(r => r.named))
  const own = ownRecord(records.flatMap(r => r.fitBys))
  const sums = allForecasts(records.map(r => r.forecasts))
  const suspects = records.flatMap(r => r.suspects.falseSuspects).length
  const forecasts = [['All', allKinds(sums)] as const, ...nodeKinds.map(kind => [kind, sums[kind]] as const)].flatMap(
    ([kind, by]) =>
      horizons.flatMap((h, i) => {
        const of = by[i]!
        if (of.count === 0) return []
        const name = `${kind[0]!.toUpperCase()}${kind.slice(1).replace(/ (.)/g, (_, c: string) => c.toUpperCase())}${h}h`
        return [
          [`forecastRms${name}Kelvin`, Math.sqrt(of.squares / of.count)],
          [`persistenceRms${name}Kelvin`, Math.sqrt(of.persistenceSquares / of.count)],
          [`forecastCoverage${name}Percent`, percent(of.covered, of.count)],
          [`forecastScore${name}Kelvin`, of.score / of.count],
          [`persistenceScore${name}Kelvin`, of.persistenceScore / of.count],
        ] as const
      }),
  )
  return {
    ...columnFigures('held', 'Held', all),
    ...columnFigures('came', 'Came', all),
    ...columnFigures('job', 'AsJob', all),
    jobsBegunUnderFit: all.begun,
    jobsOverPercent: percent(all.wentOver, all.begun),
    ...Object.fromEntries(forecasts),
    namedErrorMedianMinutes: named.errorMedian,
    namedCoveragePercent: named.coverage,
    fitByKeptPercent: named.kept,
    fitByNamed: own.named,
    fitByNamedKeptPercent: percent(own.kept, own.named),
    falseSuspectsPerSensorAndMonth: ratio(
      suspects,
      records.reduce((sum, r) => sum + r.suspects.sensorMonths, 0),
    ),
  }
}

/** What this part of an examination must show. */
export const whatCameBars = (records: readonly ExamRecord[]): Bar[] => {
  const of = whatCameFigures(records)
  const atMost = (name: string, value: number | undefined, unit: string, most: number): Bar => ({
    ...{ name, value: value ?? Number.NaN, unit, least: 0, most },
  })
  const atLeast = (name: string, value: number | undefined, least: number, most = 100): Bar => ({
    ...{ name, value: value ?? Number.NaN, unit: '%', least, most },
  })
  const sums = allForecasts(records.map(r => r.forecasts))
  const kinds = nodeKinds.filter(kind => sums[kind][0]!.count > 0)
  return [
    atMost('falsely fit, as a job begun', of.falselyFitAsJobPerMillion, 'per million', 2000),
    atMost('jobs begun under fit that went over the share', of.jobsOverPercent, 'of 100', 1),
    ...horizons.flatMap((h, i) => {
      const ratios = (key: 'squares' | 'score', other: 'persistenceSquares' | 'persistenceScore') =>
        kinds.map(kind => ratio(sums[kind][i]![key], sums[kind][i]![other]))
      return [
        atMost(
          `temperature in ${h} h, worst kind of node`,
          Math.sqrt(Math.max(...ratios('squares', 'persistenceSquares'))),
          'of "stays as it is"',
          1,
        ),
        atLeast(`temperature in ${h} h, coverage of the 90 % band`, of[`forecastCoverageAll${h}hPercent`], 87, 93),
        atMost(
          `temperature in ${h} h, interval score, worst kind`,
          Math.max(...ratios('score', 'persistenceScore')),
          'of "stays as it is"',
          1,
        ),
      ]
    }),
    atMost('ready time against what came, median error', of.namedErrorMedianMinutes, 'min', 15),
    atLeast('ready time against what came, coverage', of.namedCoveragePercent, 85, 95),
    atLeast('"fit by" that came true', of.fitByKeptPercent, 90),
    atMost('false suspects a sensor and month', of.falseSuspectsPerSensorAndMonth, '', 0.05),
  ]
}
