import type { Sensor } from '../../core/shop.js'
import type { RecordingPreview } from '../http/schemas/recording.js'
import { indexFrom } from '../store/readings-of.js'
import type { Store } from '../store/store.js'
import type { RecordedReading } from './contents.js'

const hour = 3_600_000

/** A reading of the file that says another thing than one of the same sensor and time. */
type Contradiction = RecordingPreview['contradictions']['examples'][number]

/** so many are asked for that single readings come, and no summaries */
const mostInAnHour = 20_000
const mostExamples = 12
/** readings remembered to be compared with later ones of the file */
const mostRemembered = 500_000
/** K; less is the rounding of °F */
const different = 1e-6

/** single readings of a sensor in an hour, in order of time */
interface StoredHour {
  begin: number
  at: Float64Array
  value: Float64Array
}

/** Looks for readings of a recording that contradict what is stored, or one another. */
export class Contradictions {
  readonly examples: Contradiction[] = []
  /** of readings that are stored; those stay as they are */
  stored = 0
  /** of readings earlier in the file, of which the first counts */
  inFile = 0
  /** what is stored of the hour that a sensor was at last */
  private readonly hours = new Map<Sensor, StoredHour>()
  private readonly earlier = new Map<Sensor, Map<number, number>>()
  private remembered = 0

  /** @param repeating sensors whose times do not only rise, so that one may occur twice */
  constructor(
    private readonly store: Pick<Store, 'series'>,
    private readonly repeating: ReadonlySet<Sensor>,
  ) {}

  /** @returns when it must be awaited: what is stored of another hour is asked for then */
  take(reading: RecordedReading): void | Promise<void> {
    const { sensor, at } = reading
    const begin = at - (at % hour)
    const known = this.hours.get(sensor)
    if (known?.begin === begin) this.look(reading, known)
    else return this.ask(sensor, begin).then(found => this.look(reading, found))
  }

  private look({ sensor, at, value }: RecordedReading, stored: StoredHour): void {
    const index = indexFrom(stored.at, at)
    if (stored.at[index] === at)
      this.compare({ sensor: sensor.id, at, value, before: stored.value[index]!, where: 'stored' })
    if (!this.repeating.has(sensor)) return
    const known = this.earlier.get(sensor) ?? new Map<number, number>()
    this.earlier.set(sensor, known)
    const before = known.get(at)
    if (before !== undefined) this.compare({ sensor: sensor.id, at, value, before, where: 'earlier in the file' })
    else if (this.remembered < mostRemembered) {
      known.set(at, value)
      this.remembered += 1
    }
  }

  private compare(found: Contradiction): void {
    if (Math.abs(found.value - found.before) <= different) return
    if (found.where === 'stored') this.stored += 1
    else this.inFile += 1
    if (this.examples.length < mostExamples) this.examples.push(found)
  }

  private async ask(sensor: Sensor, begin: number): Promise<StoredHour> {
    const { level, points } = await this.store.series(sensor.id, begin, begin + hour, mostInAnHour)
    const single = level === 'reading' ? points : []
    const found = {
      begin,
      at: Float64Array.from(single, point => point.at),
      value: Float64Array.from(single, point => point.mean),
    }
    this.hours.set(sensor, found)
    return found
  }
}
