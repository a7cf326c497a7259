import type { Sensor } from '../../core/shop.js'
import type { RecordingContents, SensorPart as ShownPart } from '../http/schemas/recording.js'
import { FaultList, type RecordingFault } from './faults.js'
import type { Headings } from './headings.js'
import { errorCodes } from './rows.js'
import type { Survey } from './survey.js'
import type { Unit } from './units.js'

/** A reading as a recording has it. */
export interface RecordedReading {
  sensor: Sensor
  /** ms since 1970 */
  at: number
  /** °C as measured, before the sensor's offset; 1 or 0 for a state */
  value: number
  /** ms since 1970, when the service had received it; only our own exports say so */
  receivedAt: number | null
}

/** What one sensor has in a recording. */
interface SensorPart extends Omit<ShownPart, 'sensor' | 'name'> {
  sensor: Sensor
  /** ms; its newest so far */
  last: number
  /** every reading of it is later than the one before */
  rising: boolean
}

/** A number that occurs again and again and stands apart from all others of its sensor. */
export interface ErrorCode {
  sensor: Sensor
  /** as written */
  code: number
  readings: number
}

interface CodeCount {
  readings: number
  /** how near other numbers of the same sensor come to it */
  nearest: number
}

/** as written; a real temperature that happens to be such a number has others beside it */
const codeApart = 5

/** One reading beside what stands in the file. */
type Sample = RecordingContents['samples'][number]

const mostSamples = 12
const samplesOfARow = 3
/** names kept of sensors that do not exist */
const mostUnknown = 50

/** Everything that is to be said about a recording: what was understood, how much, and what is wrong. */
export class Contents {
  headings: Headings | null = null
  /** below the headings */
  rows = 0
  readings = 0
  /** rows of which nothing was taken */
  rowsRefused = 0
  /** cells refused in rows of which other cells were taken, or might have been */
  valuesRefused = 0
  emptyCells = 0
  /** times taken as the first or second of the hour that clocks repeat */
  repeatedHour = 0
  /** ms; of the readings */
  from = Number.POSITIVE_INFINITY
  to = Number.NEGATIVE_INFINITY
  /** every reading so far is no older than the one before it */
  rising = true
  /** nothing more was read: the file as a whole cannot be */
  failed = false
  /** null until the file has been looked over */
  survey: Survey | null = null
  /** a date of which nobody can tell whether the day or the month comes first; empty when there is none */
  datesUnclear = ''
  /** the cells of the first row */
  exampleRow: readonly string[] | null = null
  /** readings left out because they are error codes */
  codesLeftOut = 0
  private readonly codes = new Map<Sensor, Map<number, CodeCount>>()
  readonly faults = new FaultList()
  readonly sensors = new Map<Sensor, SensorPart>()
  readonly samples: Sample[] = []
  private readonly unknownNames = new Map<string, number>()
  private unknownFurther = 0
  private last = Number.NEGATIVE_INFINITY

  fault(fault: RecordingFault): void {
    this.faults.add(fault)
  }

  fail(fault: RecordingFault): void {
    this.failed = true
    this.faults.add(fault)
  }

  unknownSensor(name: string): void {
    const before = this.unknownNames.get(name)
    if (before === undefined && this.unknownNames.size >= mostUnknown) this.unknownFurther += 1
    else this.unknownNames.set(name, (before ?? 0) + 1)
  }

  /** names in the rows that are no sensors, with how many readings each */
  unknown(): { name: string; readings: number }[] {
    const all = [...this.unknownNames].map(([name, readings]) => ({ name, readings }))
    return this.unknownFurther > 0 ? [...all, { name: 'others', readings: this.unknownFurther }] : all
  }

  /** what look like error codes: at least two readings of it, and nothing near it */
  errorCodes(): ErrorCode[] {
    return [...this.codes].flatMap(([sensor, codes]) =>
      [...codes]
        .filter(([, { readings, nearest }]) => readings > 1 && nearest > codeApart)
        .map(([code, { readings }]) => ({ sensor, code, readings })),
    )
  }

  private countCode(sensor: Sensor, number: number): void {
    const codes = this.codes.get(sensor) ?? new Map<number, CodeCount>()
    if (codes.size === 0) {
      for (const code of errorCodes) codes.set(code, { readings: 0, nearest: Number.POSITIVE_INFINITY })
      this.codes.set(sensor, codes)
    }
    for (const [code, count] of codes)
      if (number === code) count.readings += 1
      else count.nearest = Math.min(count.nearest, Math.abs(number - code))
  }

  /** @param number as written; NaN for a state */
  take(reading: RecordedReading, heading: string, unit: Unit, unitWritten: boolean, number: number): void {
    const { sensor, at, value } = reading
    this.readings += 1
    if (at < this.from) this.from = at
    if (at > this.to) this.to = at
    if (at < this.last) this.rising = false
    this.last = at
    if (!Number.isNaN(number)) this.countCode(sensor, number)
    const part = this.sensors.get(sensor)
    if (!part) {
      const only = { readings: 1, lowest: value, highest: value, last: at, rising: true }
      this.sensors.set(sensor, { sensor, heading, unit, unitWritten, ...only })
      return
    }
    if (at <= part.last) part.rising = false
    else part.last = at
    part.readings += 1
    if (value < part.lowest) part.lowest = value
    if (value > part.highest) part.highest = value
  }

  sample(sample: Sample): void {
    const { samples } = this
    if (samples.length >= mostSamples) return
    if (samples.filter(s => s.line === sample.line).length < samplesOfARow) samples.push(sample)
  }
}
