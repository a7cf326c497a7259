import type { RecordingChoices } from '../../core/facts.js'
import { reasons } from '../ingest/reasons.js'
import { aheadAllowed } from '../ingest/time.js'
import { readValue } from '../ingest/value.js'
import { type Delimiter, quoted, timeReader } from '../table/index.js'
import type { Contents, RecordedReading } from './contents.js'
import type { RecordingFault } from './faults.js'
import type { Headings, Layout } from './headings.js'
import type { SensorLookup } from './sensor-names.js'
import type { Survey } from './survey.js'
import { kindOf, type Unit, unitOf, unitRemedy } from './units.js'

export interface ReadingOptions {
  lookup: SensorLookup
  /** IANA name that times without a zone are in; null: such times are refused */
  zone: string | null
  /** ms; older readings are not kept and are refused */
  keptSince?: () => number
  /** ms; the service's clock; readings a minute or more ahead of it are refused. Without one, none are */
  now?: () => number
  /** what somebody said of the file */
  choices?: RecordingChoices
  /** what was found out about it before; looked over anew when left out */
  survey?: Survey
  /** error codes to leave out, by sensor and number as written (`codeKey`) */
  leaveOut?: ReadonlySet<string>
}

/** numbers that devices and loggers write instead of a temperature that they do not have; common practice, no source */
export const errorCodes: readonly number[] = [-200, -127, 85, 999, 9999]

export const codeKey = (sensor: string, code: number): string => `${code} ${sensor}`

/** what is wrong, without where */
export type Problem = Pick<RecordingFault, 'kind' | 'problem' | 'remedy'>

/** what a cell holds, as the wire's checks see it */
const cellValue = (text: string, unit: Unit, decimalComma: boolean): { value: number; number: number } | Problem => {
  const point = decimalComma && /^[+-]?\d*,\d+(?:e[+-]?\d+)?$/i.test(text) ? text.replace(',', '.') : text
  // where commas stand between cells, "1,234" in quotation marks may be either
  const ambiguous = !decimalComma && text.includes(',')
  const bare = point.replace(/^\u2212/, '-')
  const read = ambiguous
    ? { reason: reasons.notNumber }
    : unit === '1/s'
      ? readValue(`${bare} 1/s`, '1/min')
      : readValue(bare, unit)
  // only devices that measure temperatures write numbers of error in their place
  if ('value' in read) return { ...read, number: kindOf(unit) === 'temperature' ? Number.parseFloat(bare) : Number.NaN }
  const remedy =
    unit === 'state'
      ? 'write open or closed, on or off, true or false, 1 or 0'
      : decimalComma
        ? `write a bare number in ${unit}, nothing between thousands`
        : `write a bare number in ${unit} with a decimal point; decimal commas need semicolons or tabs between cells`
  return { kind: 'value', problem: `${quoted(text)}: ${read.reason}`, remedy }
}

/** Takes readings out of the rows of a recording, one row after the other. */
export class Rows {
  private readonly read: ReturnType<typeof timeReader>
  private readonly received = timeReader({ zone: 'UTC', scale: null })
  private readonly decimalComma: boolean
  /** ms; the time before, in columns of the row before, in rows of the same sensor */
  private readonly previous = new Map<string, number>()

  constructor(
    readonly headings: Headings,
    readonly layout: Layout,
    delimiter: Delimiter,
    readonly options: ReadingOptions & Pick<RecordingChoices, 'units'>,
    readonly contents: Contents,
  ) {
    this.read = timeReader(layout.time)
    this.decimalComma = delimiter !== ','
  }

  take(cells: readonly string[], line: number, group: RecordedReading[]): void {
    const before = this.contents.readings
    const faultsBefore = this.contents.faults.total
    if (this.layout.form === 'rows') this.row(this.layout, cells, line, group)
    else this.columns(this.layout, cells, line, group)
    if (this.contents.readings === before && this.contents.faults.total > faultsBefore) this.contents.rowsRefused += 1
  }

  private fault(line: number, column: number | null, problem: Problem): void {
    this.contents.fault({ line, column: column === null ? '' : (this.headings.cells[column] ?? ''), ...problem })
  }

  /** @returns ms, or null when it was refused */
  private time(cells: readonly string[], line: number, of: string): { at: number; text: string } | null {
    const { column, clock } = this.layout.time
    const text = clock === null ? cells[column]! : `${cells[column]} ${cells[clock]}`.trim()
    const read = this.read(text, this.previous.get(of) ?? null)
    if ('kind' in read) {
      this.fault(line, clock ?? column, read)
      return null
    }
    const { at } = read
    this.previous.set(of, at)
    const { keptSince, now } = this.options
    if (now && at > now() + aheadAllowed)
      this.fault(line, column, {
        kind: 'time in the future',
        problem: `${quoted(text)} lies ahead of now`,
        remedy: 'correct the recorder’s clock, or give the times with their zone',
      })
    else if (keptSince && at < keptSince())
      this.fault(line, column, {
        kind: 'older than the readings kept',
        problem: `${quoted(text)} is older than the readings that are kept`,
        remedy: 'start the service with a longer --keep-readings',
      })
    else {
      if (read.repeated) this.contents.repeatedHour += 1
      return { at, text }
    }
    return null
  }

  /** counts a reading; @returns false when it is an error code that is left out */
  private keeps(reading: RecordedReading, heading: string, unit: Unit, unitWritten: boolean, number: number): boolean {
    const { sensor } = reading
    if (this.options.leaveOut?.size && this.options.leaveOut.has(codeKey(sensor.id, number))) {
      this.contents.codesLeftOut += 1
      return false
    }
    this.contents.take(reading, heading, unit, unitWritten, number)
    return true
  }

  private row(
    layout: Extract<Layout, { form: 'rows' }>,
    cells: readonly string[],
    line: number,
    group: RecordedReading[],
  ) {
    const name = cells[layout.sensor]!
    const found = this.options.lookup(name)
    const [sensor] = found
    if (!sensor || found.length > 1) {
      this.contents.unknownSensor(name)
      this.fault(line, layout.sensor, {
        kind: 'no such sensor',
        problem: sensor
          ? `${quoted(name)} means several sensors: ${found
              .map(s => s.id)
              .slice(0, 5)
              .join(', ')}`
          : name === ''
            ? 'the sensor is missing'
            : `no sensor has the id, name or topic ${quoted(name)}`,
        remedy: 'write a sensor’s id as in the shop file',
      })
      return
    }
    const time = this.time(cells, line, sensor.id)
    if (!time) return
    const unitCell = layout.unit === null ? '' : cells[layout.unit]!
    const unitSaid = this.options.units[name]
    const said = unitSaid ?? (unitCell === '' ? layout.valueUnit : unitOf(unitCell))
    // a heading such as "value (°C)" is of the temperatures among the sensors
    const unit =
      kindOf(sensor.unit) !== 'temperature' && unitCell === ''
        ? sensor.unit
        : (said ?? (unitCell === '' ? sensor.unit : undefined))
    if (unit === undefined || kindOf(unit) !== kindOf(sensor.unit)) {
      this.fault(line, layout.unit, {
        kind: 'unit',
        problem: `${quoted(unitCell || String(layout.valueUnit))} is no unit of ${sensor.id}`,
        remedy: unitRemedy[kindOf(sensor.unit)],
      })
      return
    }
    const written = cells[layout.value]!
    if (written === '') {
      this.fault(line, layout.value, {
        kind: 'value missing',
        problem: 'the value is missing',
        remedy: 'give the value, or leave the row out',
      })
      return
    }
    const value = cellValue(written, unit, this.decimalComma)
    if ('kind' in value) {
      this.fault(line, layout.value, value)
      return
    }
    const arrival =
      layout.received === null || cells[layout.received] === '' ? null : this.received(cells[layout.received]!, null)
    if (arrival && 'kind' in arrival) {
      this.fault(line, layout.received, arrival)
      return
    }
    const reading = { sensor, at: time.at, value: value.value, receivedAt: arrival?.at ?? null }
    const unitWritten =
      unitCell !== '' || unitSaid !== undefined || (layout.valueUnit !== null && kindOf(unit) === 'temperature')
    if (!this.keeps(reading, name, unit, unitWritten, value.number)) return
    group.push(reading)
    this.contents.sample({ line, time: time.text, written, sensor: sensor.id, at: time.at, value: value.value })
  }

  private columns(
    layout: Extract<Layout, { form: 'columns' }>,
    cells: readonly string[],
    line: number,
    group: RecordedReading[],
  ) {
    const time = this.time(cells, line, '')
    if (!time) return
    let refused = 0
    let taken = 0
    for (const { column, heading, sensor, unit, unitWritten } of layout.sensors) {
      const written = cells[column]!
      if (written === '') {
        this.contents.emptyCells += 1
        continue
      }
      const value = cellValue(written, unit, this.decimalComma)
      if ('kind' in value) {
        refused += 1
        this.fault(line, column, value)
        continue
      }
      taken += 1
      const reading = { sensor, at: time.at, value: value.value, receivedAt: null }
      if (!this.keeps(reading, heading, unit, unitWritten, value.number)) continue
      group.push(reading)
      this.contents.sample({ line, time: time.text, written, sensor: sensor.id, at: time.at, value: value.value })
    }
    if (taken > 0) this.contents.valuesRefused += refused
  }
}
