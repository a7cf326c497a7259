import { IANAZone } from 'luxon'
import type { RecordingChoices } from '../../core/facts.js'
import type { Sensor } from '../../core/shop.js'
import { quoted, type TimeMeaning } from '../table/index.js'
import type { RecordingFault } from './faults.js'
import type { SensorLookup } from './sensor-names.js'
import { kindOf, type RecordedSensor, splitHeading, type Unit, unitOf, unitRemedy } from './units.js'

/** the column of times, or a column of dates and one of times of day */
interface TimeColumn extends TimeMeaning {
  column: number
  /** of the time of day, when `column` holds the date alone */
  clock: number | null
}

/** What people said of columns, and in what kind of times the file was found to be written. */
interface Said extends Pick<RecordingChoices, 'columns' | 'units'>, Pick<TimeMeaning, 'order'> {}

interface SensorColumn {
  column: number
  /** as it stands in the file */
  heading: string
  sensor: Sensor
  unit: Unit
  /** whether the heading or somebody says the unit, or it is the sensor's own */
  unitWritten: boolean
}

/** How a recording is laid out: a row for each reading, or a column for each sensor. */
export type Layout =
  | {
      form: 'rows'
      time: TimeColumn
      sensor: number
      value: number
      /** column of units; and the unit in the heading of the values, which holds where that is empty */
      unit: number | null
      valueUnit: Unit | null
      /** column of moments of arrival, in our own exports */
      received: number | null
    }
  | { form: 'columns'; time: TimeColumn; sensors: SensorColumn[] }

export interface Headings {
  /** null when the file cannot be read with such headings; `faults` says why */
  layout: Layout | null
  /** null when there is none, or it cannot be told which */
  time: TimeColumn | null
  /** as in the file */
  cells: readonly string[]
  /** columns nothing is taken from */
  leftOut: { heading: string; why: string }[]
  faults: RecordingFault[]
}

const example =
  'begin with a line of headings: time,sensor,value (°C), or time and a column for each sensor: time,X screw (°F)'

const roles = {
  time: /^(?:time|times|timestamp|time ?stamp|date ?time|date ?(?:and|\/|&) ?time|moment|at|event time|time ?utc|timeutc)$/,
  date: /^(?:date|day)$/,
  sensor: /^(?:sensor|sensor ?id|sensor ?name|topic|channel|name|id|tag)$/,
  value: /^(?:value|reading|temperature|temp|measurement)$/,
  unit: /^(?:unit|units|unit of measure)$/,
  received: /^(?:received|received ?at|receivedat|received ?utc|arrival)$/,
} as const
type Role = keyof typeof roles

const fold = (text: string): string =>
  text
    .toLowerCase()
    .replace(/[\s_-]+/g, ' ')
    .trim()

export const roleOf = (heading: string, { columns }: Pick<Said, 'columns'>): Role | undefined => {
  const use = columns[heading]
  if (use !== undefined) return use === 'time' || use === 'date' ? use : undefined
  const name = fold(splitHeading(heading).name)
  return (Object.keys(roles) as Role[]).find(role => roles[role].test(name))
}

type Say = (column: string, problem: string, remedy: string) => void

/** what stands behind "time": a zone, or the unit of a number */
const timeMeaning = (heading: string, zone: string | null, say: Say): TimeMeaning => {
  const { name, behind } = splitHeading(heading)
  if (/utc$/i.test(name) || /^(?:utc|gmt|z)$/i.test(behind)) return { zone: 'UTC', scale: null }
  if (/^(?:s|sec|seconds|epoch s|unix s)$/i.test(behind)) return { zone, scale: 's' }
  if (/^(?:ms|milliseconds|epoch ms|unix ms)$/i.test(behind)) return { zone, scale: 'ms' }
  if (behind === '' || /^(?:local|local time|shop|epoch|unix|iso 8601)$/i.test(behind)) return { zone, scale: null }
  const offset = /^(?:utc|gmt)? ?([+\u2212-])(\d{1,2})(?::?(\d\d))?$/i.exec(behind)
  if (offset) {
    const sign = offset[1] === '+' ? '+' : '-'
    return { zone: `${sign}${offset[2]!.padStart(2, '0')}:${offset[3] ?? '00'}`, scale: null }
  }
  if (IANAZone.isValidZone(behind)) return { zone: behind, scale: null }
  say(
    heading,
    `${quoted(behind)} behind the heading of the times is neither a zone nor s or ms`,
    'write time, time (UTC), time (+01:00), time (Europe/Vienna), time (s) or time (ms)',
  )
  return { zone, scale: null }
}

/** @param at which columns have a role */
const timeColumn = (
  cells: readonly string[],
  at: (role: Role) => readonly number[],
  zone: string | null,
  said: Said,
  say: Say,
): TimeColumn | null => {
  const meaning = (heading: string) => ({ ...timeMeaning(heading, zone, say), order: said.order ?? null })
  const times = at('time')
  const dates = at('date')
  if (times.length === 1 && dates.length === 1) {
    const [column, clock] = [dates[0]!, times[0]!]
    return { column, clock, ...meaning(cells[clock]!) }
  }
  const all = [...times, ...dates]
  if (all.length === 1) return { column: all[0]!, clock: null, ...meaning(cells[all[0]!]!) }
  if (all.length === 0) say('', `no column is headed "time"; the first line reads ${quoted(cells.join(', '))}`, example)
  else
    say('', `several columns are times: ${all.map(i => quoted(cells[i]!)).join(', ')}`, 'leave one column headed time')
  return null
}

const tells = {
  temperature: 'is a temperature, and nothing else',
  state: 'tells open or shut, no temperature',
  speed: 'tells a speed, no temperature',
}

/** the unit a sensor's column is in; undefined when it cannot be */
const columnUnit = (sensor: RecordedSensor, behind: string, heading: string, say: Say): Unit | undefined => {
  if (behind === '') return sensor.unit
  const unit = unitOf(behind)
  const kind = kindOf(sensor.unit)
  if (unit !== undefined && kindOf(unit) === kind) return unit
  say(
    heading,
    unit === undefined ? `${quoted(behind)} is no unit of a ${kind}` : `${sensor.name} ${tells[kind]}`,
    kind === 'temperature' ? 'write °C, °F or K in the heading: X screw (°F)' : unitRemedy[kind],
  )
  return undefined
}

const several = (found: readonly Sensor[]): string =>
  `means several sensors: ${found
    .slice(0, 5)
    .map(s => s.id)
    .join(', ')}${found.length > 5 ? ' …' : ''}`

function* sensorColumns(
  cells: readonly string[],
  taken: ReadonlySet<number>,
  lookup: SensorLookup,
  said: Said,
  leftOut: Headings['leftOut'],
  say: Say,
): Generator<void, SensorColumn[]> {
  const columns: SensorColumn[] = []
  const known = new Set<Sensor>()
  for (const [column, heading] of cells.entries()) {
    yield
    if (taken.has(column)) continue
    // a unit behind a sensor's name is a unit, unless the name itself ends so
    const apart = splitHeading(heading)
    const named = unitOf(apart.behind) === undefined ? [] : lookup(apart.name)
    const whole = named.length > 0 ? [] : lookup(heading)
    const split = whole.length > 0 ? { name: heading, behind: '' } : apart
    const found = [whole, named, lookup(apart.name)].find(all => all.length > 0) ?? []
    const [sensor] = found
    const unitSaid = said.units[heading]
    if (said.columns[heading] === 'nothing') leftOut.push({ heading, why: 'it is not needed' })
    else if (heading === '') leftOut.push({ heading: `column ${column + 1}`, why: 'it has no heading' })
    else if (!sensor) leftOut.push({ heading, why: 'no sensor of the shop has this id, name or topic' })
    else if (found.length > 1) say(heading, `${quoted(heading)} ${several(found)}`, 'write the id of the one')
    else if (known.has(sensor)) say(heading, `two columns are of ${sensor.id}`, 'leave one column for each sensor')
    else {
      const unit = columnUnit(sensor, unitSaid ?? split.behind, heading, say)
      if (!unit) continue
      known.add(sensor)
      columns.push({ column, heading, sensor, unit, unitWritten: (unitSaid ?? split.behind) !== '' })
    }
  }
  if (columns.length === 0)
    say('', 'no column is headed by a sensor', `head a column with a sensor’s id, name or topic; or ${example}`)
  return columns
}

/**
 * Understands the headings of a recording, a column a step.
 *
 * @param zone IANA name that times without one are in; null when it is not known
 * @param line its number in the file
 */
export function* readingHeadings(
  cells: readonly string[],
  lookup: SensorLookup,
  zone: string | null,
  line: number,
  said: Said,
): Generator<void, Headings> {
  const faults: RecordingFault[] = []
  const leftOut: Headings['leftOut'] = []
  const say: Say = (column, problem, remedy) => faults.push({ line, column, kind: 'headings', problem, remedy })
  const found: { role: Role | undefined; column: number }[] = []
  for (const [column, cell] of cells.entries()) {
    yield
    found.push({ role: roleOf(cell, said), column })
  }
  const at = (role: Role) => found.filter(f => f.role === role).map(f => f.column)
  const only = (role: Role): number | null => {
    const all = at(role)
    if (all.length > 1) say(cells[all[1]!]!, `two columns are headed as ${role}`, `leave one column for the ${role}`)
    return all[0] ?? null
  }
  const time = timeColumn(cells, at, zone, said, say)
  const done = (layout: Layout | null): Headings => ({
    layout: faults.length > 0 ? null : layout,
    time,
    cells,
    leftOut,
    faults,
  })

  if (!time) return done(null)
  const taken = new Set([time.column, ...(time.clock === null ? [] : [time.clock])])
  const isRows = at('sensor').length > 0 && at('value').length > 0
  if (!isRows) {
    const sensors = yield* sensorColumns(cells, taken, lookup, said, leftOut, say)
    return done({ form: 'columns', time, sensors })
  }

  const [sensor, value, unit, received] = [only('sensor')!, only('value')!, only('unit'), only('received')]
  const { behind } = splitHeading(cells[value]!)
  const valueUnit = behind === '' ? null : (unitOf(behind) ?? null)
  if (behind !== '' && valueUnit === null)
    say(cells[value]!, `${quoted(behind)} is no unit of a temperature`, 'write value (°C), value (°F) or value (K)')
  for (const index of [sensor, value, unit, received]) if (index !== null) taken.add(index)
  for (const [index, heading] of cells.entries())
    if (!taken.has(index)) leftOut.push({ heading: heading || `column ${index + 1}`, why: 'it is not needed' })
  return done({ form: 'rows', time, sensor, value, unit, valueUnit, received })
}
