import { isThermometer, type Node, type Sensor, type Shop } from '../../core/shop.js'
import type { FaultBasis, PlaceKind, SensorFault, TrustChange } from '../../core/state.js'
import {
  clockWrong,
  earningTime,
  faultCode,
  habitAfter,
  isJump,
  manySpikes,
  noHabit,
  noisy,
  outOfRange,
  roughnessAfter,
  seldomAfter,
  silence,
  spikesOfAFault,
} from '../../core/trust/index.js'
import type { Reading } from '../ingest/reading.js'
import { RecentMeans } from './recent-means.js'
import { RepeatedValue } from './repeated-value.js'

/** s; a guess, no source: how slowly a tank of coolant settles */
const coolantSettling = 7200
/** K; up to which its readings may always become rougher */
const roughFree = 0.1
/** s, intervals and readings: over so many the quickest arrival tells about the clock */
const clockWatch = { seconds: 300, intervals: 5, readings: 5 }

type Taken = Pick<Reading, 'at' | 'value'>

/** A reading that the observers may use. */
export interface Believable {
  /** °C, with the sensor's offset */
  value: number
  /** what was believed before turned out false: whoever follows it begins anew */
  anew: boolean
}

/** What is known of one sensor from its own readings. A reading costs the same however long the history is. */
export class SensorRecord {
  readonly means: RecentMeans
  /** °C with the offset, 1 or 0 of a state sensor, 1/s or m at a spindle; the newest reading, believed or not */
  value: number | null = null
  /** ms; its time */
  at: number | null = null
  /** what speaks against the sensor beside its neighbours (see neighbourhood.ts) */
  besideOthers: SensorFault | null = null
  /** what was found before a restart: stands until the sensor speaks for itself again */
  told: TrustChange | null = null
  /** it was suspect or lost and has to earn its trust back; ms since when its readings are good, null while not */
  earning: { goodSince: number | null } | null = null
  /** s; of the body it sits on: as identified, else as configured; 0 of air */
  timeConstant: number
  /** what comes are means of what was stored: they show habits, but not in which steps the sensor works */
  takesMeans = false
  /** it tells no temperature: nothing but its silence speaks against it */
  private readonly isPlain: boolean
  private readingFault: SensorFault | null = null
  clockFault: SensorFault | null = null
  /** the last good reading, and one after it that jumped and waits for the next to confirm it; °C, with the offset */
  private good: Taken | null = null
  private held: Taken | null = null
  private refusedInARow = 0
  private readonly spikes: number[] = []
  /** s; before its last readings, each of which was late */
  readonly late: number[] = []
  /** what was believed until now turned out false */
  private misled = false
  readonly repeated = new RepeatedValue()
  /** last two good values, °C; how rough readings are now, on the day that runs, and usually, K */
  private rough = { before: Number.NaN, last: Number.NaN, now: 0, day: 0, most: 0, usual: noHabit }
  /** of the readings that are being compared with the clock: from when (ms), how many, and the least delay, s */
  private arrivals = { from: 0, count: 0, least: Number.POSITIVE_INFINITY }

  constructor(
    readonly sensor: Sensor,
    readonly place: PlaceKind,
    /** the node it sits on */
    readonly node: Node | null,
  ) {
    this.isPlain = !isThermometer(sensor)
    this.means = new RecentMeans(sensor.interval)
    this.timeConstant = node?.timeConstant ?? (place === 'coolant' ? coolantSettling : 0)
  }

  /**
   * Takes a reading when it is newer than the last.
   *
   * @param recordedInterval s; recorded readings may be this far apart; 0 for live ones
   * @returns null when it must not be used
   */
  take(reading: Reading, recordedInterval: number): Believable | null {
    if (this.at !== null && reading.at <= this.at) return null
    if (!this.isPlain) this.recordBreaks(reading, recordedInterval)
    this.at = reading.at
    this.value = this.isPlain ? reading.value : reading.value + this.sensor.offset
    if (this.isPlain) return { value: this.value, anew: false }
    if (recordedInterval === 0) this.watchClock(reading)
    this.repeated.take(reading.at, reading.value, !this.besideOthers, this.takesMeans)
    const passed = this.passes(reading, this.value)
    if (passed) {
      this.means.add(reading.at, this.value)
      this.watchNoise(reading.at, this.value)
    }
    this.noteFault()
    if (!passed || this.fault()) return null
    const anew = this.misled
    this.misled = false
    if (!this.earning) return { value: this.value, anew }
    this.earning.goodSince ??= reading.at
    const interval = Math.max(this.sensor.interval, recordedInterval)
    if (reading.at - this.earning.goodSince >= earningTime(interval) * 1000) this.earning = null
    return { value: this.value, anew }
  }

  /** Its offset was changed by so many K, which is no jump of its temperature. */
  shift(change: number): void {
    if (this.value === null || this.isPlain) return
    this.value += change
    this.means.shift(change)
    if (this.good) this.good = { ...this.good, value: this.good.value + change }
    if (this.held) this.held = { ...this.held, value: this.held.value + change }
  }

  /** What speaks against it now; null when nothing does. */
  fault(): SensorFault | null {
    const third = this.spikes.length === spikesOfAFault && this.at !== null ? (this.at - this.spikes[0]!) / 1000 : null
    const spiky = manySpikes(third, this.sensor.interval)
    const rough = noisy(this.rough.now, this.rough.usual)
    return this.clockFault ?? this.readingFault ?? spiky ?? rough ?? this.besideOthers ?? this.told?.fault ?? null
  }

  /** What its own readings say against it rests on; null when they do not. */
  basis(): FaultBasis | null {
    const fault = this.fault()
    if (fault === null || fault === this.besideOthers) return null
    if (this.told && fault === this.told.fault) return this.told.basis
    if (fault === this.clockFault) return { kind: 'clock' }
    return fault.kind === 'spikes' ? { kind: 'spikes', at: [...this.spikes] } : { kind: 'reading' }
  }

  /** What was found of it before a restart, in its place among the readings that are taken in again. */
  recall(change: TrustChange): void {
    if (this.isPlain) return
    const { trust, basis } = change
    this.told = null
    if (trust === 'ok') {
      this.readingFault = null
      this.clockFault = null
      this.spikes.length = 0
      this.earning = null
      return
    }
    this.earning = { goodSince: basis?.kind === 'earning' ? basis.goodSince : null }
    if (!basis || basis.kind === 'earning') return
    this.told = change
    if (basis.kind !== 'reading') this.misled = true
  }

  /** The last of what was recalled holds on: what can be taken up from where it stood is. */
  resume({ at, fault, basis }: TrustChange): void {
    if (!basis) return
    if (basis.kind === 'spikes' && this.spikes.length < basis.at.length)
      this.spikes.splice(0, this.spikes.length, ...basis.at)
    if (basis.kind === 'clock') this.clockFault ??= fault
    if (basis.kind === 'frozen' && Number.isNaN(this.repeated.value)) this.repeated.begin(at, basis.value)
  }

  /** If something speaks against it, it has to earn its trust back from here on. */
  noteFault(): void {
    const fault = this.fault()
    if (!fault) return
    this.earning = { goodSince: null }
    if (fault !== this.readingFault) this.misled = true
  }

  /** How long it has sent one and the same value. */
  valueRun(): ReturnType<RepeatedValue['run']> {
    return this.repeated.run(this.at ?? this.repeated.since, this.sensor.resolution)
  }

  private recordBreaks(reading: Reading, recordedInterval: number): void {
    if (this.at === null) return
    const gap = (reading.at - this.at) / 1000
    const quiet = silence(gap, Math.max(this.sensor.interval, recordedInterval))
    if (quiet === 'ok') {
      this.late.length = 0
      return
    }
    if (this.late.push(gap) > seldomAfter) this.late.shift()
    if (this.earning) this.earning.goodSince = null
    if (quiet === 'late') return
    this.earning ??= { goodSince: null }
    this.good = null
    this.held = null
    // one that was frozen before it fell silent still is when it goes on with the same value
    if (!this.besideOthers) this.repeated.value = Number.NaN
  }

  /** Whether a reading can be true, from it and those before it; a jump is held until the next one confirms it. */
  private passes({ at, value: measured }: Reading, value: number): boolean {
    const bad = faultCode(measured, this.good?.value ?? null) ?? outOfRange(value, this.place)
    if (bad) {
      // one alone is an accident, as a spike is
      if (++this.refusedInARow > 1 || !this.good) this.readingFault = bad
      else this.spike(at)
      return false
    }
    this.refusedInARow = 0
    this.readingFault = null
    const { good, held } = this
    if (good && isJump(good.value, value, (at - good.at) / 1000, this.place)) {
      const confirmed = held && !isJump(held.value, value, (at - held.at) / 1000, this.place)
      if (!confirmed) {
        if (held) this.spike(held.at)
        this.held = { at, value }
        return false
      }
    } else if (held) this.spike(held.at)
    this.held = null
    // changed in place: with thousands of sensors, a new one for every reading would outlive the young generation
    if (good) {
      good.at = at
      good.value = value
    } else this.good = { at, value }
    return true
  }

  private spike(at: number): void {
    this.spikes.push(at)
    if (this.spikes.length > spikesOfAFault) this.spikes.shift()
    if (this.earning) this.earning.goodSince = null
  }

  private watchNoise(at: number, value: number): void {
    const { rough } = this
    if (!this.takesMeans) {
      const day = Math.floor(at / 86_400_000)
      if (day !== rough.day && rough.day > 0) {
        rough.usual = habitAfter(rough.usual, rough.most, roughFree)
        rough.most = 0
      }
      rough.day = day
      rough.now = roughnessAfter(rough.now, rough.before, rough.last, value)
      if (!this.earning) rough.most = Math.max(rough.most, rough.now)
    }
    rough.before = rough.last
    rough.last = value
  }

  private watchClock({ at, receivedAt }: Reading): void {
    const { arrivals } = this
    if (arrivals.count === 0) arrivals.from = receivedAt
    arrivals.count++
    arrivals.least = Math.min(arrivals.least, (receivedAt - at) / 1000)
    const { interval } = this.sensor
    const span = (receivedAt - arrivals.from) / 1000
    // what waited at a broker comes in a burst and says nothing about the clock
    if (arrivals.count < clockWatch.readings || span < Math.max(clockWatch.seconds, clockWatch.intervals * interval))
      return
    this.clockFault = clockWrong(arrivals.least, interval)
    this.arrivals = { from: 0, count: 0, least: Number.POSITIVE_INFINITY }
  }
}

/** What kind of place it measures, and the node it sits on. */
export const placeOf = ({ at }: Sensor, { machines }: Pick<Shop, 'machines'>): [PlaceKind, Node | null] => {
  if (at.kind === 'shop air') return ['air', null]
  // a spindle's speed has no temperature that could be false
  if (at.kind === 'spindle') return ['body', null]
  if (at.kind !== 'node') return [at.kind, null]
  const node = machines.find(m => m.id === at.machine)?.nodes.find(n => n.id === at.node)
  return [node?.kind ?? 'body', node ?? null]
}
