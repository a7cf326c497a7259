import type { Sensor } from '../../core/shop.js'
import { FaultList, type RecordingFault } from './faults.js'
import type { Headings } from './headings.js'
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
export interface SensorPart {
  sensor: Sensor
  /** heading of its column, or how the rows name it */
  heading: string
  /** as understood */
  unit: Unit
  unitWritten: boolean
  readings: number
  /** °C, or 1 and 0 */
  lowest: number
  highest: number
}

/** One reading beside what stands in the file. */
export interface Sample {
  line: number
  time: string
  written: string
  reading: RecordedReading
}

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

  take(reading: RecordedReading, heading: string, unit: Unit, unitWritten: boolean): void {
    const { sensor, at, value } = reading
    this.readings += 1
    if (at < this.from) this.from = at
    if (at > this.to) this.to = at
    if (at < this.last) this.rising = false
    this.last = at
    const part = this.sensors.get(sensor)
    if (!part) {
      this.sensors.set(sensor, { sensor, heading, unit, unitWritten, readings: 1, lowest: value, highest: value })
      return
    }
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
