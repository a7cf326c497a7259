import type { Shop } from '../../core/shop.js'
import type { Battery, FaultBasis, SensorFault, SensorState, Signal, Trust, TrustChange } from '../../core/state.js'
import { earningTime, silence, silent } from '../../core/trust/index.js'
import type { Condition } from '../ingest/condition.js'
import type { Reading } from '../ingest/reading.js'
import { Neighbourhood } from './neighbourhood.js'
import { bucketAt } from './recent-means.js'
import { type Believable, placeOf, SensorRecord } from './sensor-record.js'
import { SensorsBeside } from './sensors-beside.js'

/** ms; how often sensors that have not reported are looked at: thousands may be silent between two of their readings */
const silentLook = 1000
/** ms; so long after its end all readings of a five-minute bucket are taken to have come in. Judgement, no source */
const bucketIsIn = 60_000
const neverReported: SensorFault = { kind: 'never reported' }

interface Followed {
  record: SensorRecord
  beside: Neighbourhood
  trust: Trust
  /** null when it is ok */
  fault: SensorFault | null
  /** ms; since when the trust stands; 0 before it was first decided */
  since: number
  /** why it is gone, by word of its network; empty when it is not */
  gone: string
  battery?: Battery
  signal?: Signal
  /** what is on record of it */
  noted: Pick<TrustChange, 'trust'> & { kind: FaultBasis['kind'] | undefined }
  /** ms; a service that was away heard nothing of a suspect: from here on its silence counts. 0 without such a restart */
  resumedAt: number
}

/** The one place that decides whether a sensor is believed. */
export class SensorBoard {
  private readonly followed = new Map<string, Followed>()
  private readonly changed = new Set<string>()
  private found: TrustChange[] = []
  /** what was found of each sensor last, while what is stored is taken in again; empty afterwards */
  private readonly recalled = new Map<string, TrustChange>()
  /** s; see `advance` */
  private recordedInterval = 0
  /** what they say of each other */
  readonly beside = new SensorsBeside()
  /** ms; when all were looked at last */
  private looked = Number.NEGATIVE_INFINITY

  constructor(shop: Pick<Shop, 'sensors' | 'machines'>) {
    this.reshape(shop, new Set())
  }

  /**
   * The sensors that there are from now on.
   *
   * @param anew those of them that are followed from the beginning, for something else is known of them; what their
   *   device and their network told last stays
   */
  reshape(shop: Pick<Shop, 'sensors' | 'machines'>, anew: ReadonlySet<string>): void {
    const before = new Map(this.followed)
    this.followed.clear()
    for (const sensor of shop.sensors) {
      const known = before.get(sensor.id)
      if (known && !anew.has(sensor.id)) {
        this.followed.set(sensor.id, known)
        continue
      }
      const record = new SensorRecord(sensor, ...placeOf(sensor, shop))
      this.followed.set(sensor.id, {
        record,
        beside: new Neighbourhood(record),
        trust: 'lost',
        fault: neverReported,
        since: 0,
        gone: known?.gone ?? '',
        ...(known?.battery && { battery: known.battery }),
        ...(known?.signal && { signal: known.signal }),
        noted: { trust: 'ok', kind: undefined },
        resumedAt: 0,
      })
      if (before.size > 0) this.changed.add(sensor.id)
    }
    for (const id of this.changed) if (!this.followed.has(id)) this.changed.delete(id)
    this.beside.reshape([...this.followed.values()].map(({ beside }) => beside))
  }

  /**
   * Takes a reading when it is newer than the last.
   *
   * @returns null when it must not be used. While a sensor earns its trust back its readings may be followed, though
   * nothing is judged by them yet.
   */
  take(reading: Reading): Believable | null {
    const entry = this.followed.get(reading.sensor)
    if (!entry || (entry.record.at !== null && reading.at <= entry.record.at)) return null
    entry.gone = ''
    // while what was stored is taken in again, what was found of it then holds
    if (!this.recalled.has(reading.sensor)) entry.record.told = null
    this.changed.add(reading.sensor)
    return entry.record.take(reading, this.recordedInterval)
  }

  /** Takes a stored reading, or a mean of some, before anything is judged; what the sensors usually do is learned. */
  takeAgain(reading: Reading): Believable | null {
    this.beside.learn(reading.at)
    const entry = this.followed.get(reading.sensor)
    if (entry) entry.record.takesMeans = true
    return this.take(reading)
  }

  /** What its device tells of itself, when it is newer than the last; it has no say in whether it is believed. */
  takeCondition({ sensor, battery, signal }: Condition): void {
    const entry = this.followed.get(sensor)
    if (!entry) return
    if (battery && battery.at >= (entry.battery?.at ?? 0)) entry.battery = battery
    if (signal && signal.at >= (entry.signal?.at ?? 0)) entry.signal = signal
    this.changed.add(sensor)
  }

  /** Its offset was changed by so many K. */
  shift(id: string, change: number): void {
    const entry = this.followed.get(id)
    if (!entry) return
    entry.record.shift(change)
    entry.beside.level.forget()
    this.changed.add(id)
  }

  /** Its network says that the sensor is gone, and why, or (null) that it is back; a newer reading says so too. */
  setGone(id: string, reason: string | null): void {
    const entry = this.followed.get(id)
    if (!entry || entry.gone === (reason ?? '')) return
    entry.gone = reason ?? ''
    this.changed.add(id)
  }

  /** What was found of a sensor before a restart, in its place among the readings that are taken in again. */
  recall(change: TrustChange): void {
    this.recalled.set(change.sensor, change)
    this.followed.get(change.sensor)?.record.recall(change)
  }

  /**
   * What is stored has been taken in again: a sensor that was not believed is not until it has earned it.
   *
   * @param now ms
   */
  resume(now: number): void {
    for (const { record } of this.followed.values()) record.takesMeans = false
    for (const change of this.recalled.values()) {
      const entry = this.followed.get(change.sensor)
      if (!entry) continue
      const { trust, fault, since, basis } = change
      entry.noted = { trust, kind: basis?.kind }
      if (trust === 'ok') continue
      Object.assign(entry, { trust, fault, since: Math.min(since, now) })
      if (trust !== 'suspect') continue
      entry.resumedAt = now
      entry.record.resume(change)
      entry.beside.resume(change)
    }
    this.recalled.clear()
  }

  /**
   * Brings every sensor's trust up to a moment.
   *
   * @param now ms
   * @param recordedInterval s; recorded readings may be this far apart, whatever the sensor's own interval
   */
  advance(now: number, recordedInterval = 0): void {
    this.recordedInterval = recordedInterval
    const judged = this.beside.judgeUpTo(bucketAt(now - bucketIsIn) - 1)
    if (judged || now - this.looked >= silentLook) {
      this.looked = now
      for (const entry of this.followed.values()) this.decide(entry, now)
    } else for (const id of this.changed) this.decide(this.followed.get(id)!, now)
  }

  private decide(entry: Followed, now: number): void {
    const [trust, fault] = this.trustOf(entry, now)
    if (trust !== entry.trust || entry.since === 0) {
      entry.trust = trust
      entry.since = now
      this.changed.add(entry.record.sensor.id)
    } else if (!isSame(fault, entry.fault)) this.changed.add(entry.record.sensor.id)
    entry.fault = fault
    this.note(entry, now)
  }

  /** What must be known after a restart: one that was only late is believed at once, and so is one not heard of yet. */
  private note(entry: Followed, now: number): void {
    const { trust, noted, record } = entry
    if (trust === 'late' || (trust === 'lost' && record.at === null)) return
    const change = found(entry, trust, now)
    if (trust === noted.trust && change.basis?.kind === noted.kind) return
    entry.noted = { trust, kind: change.basis?.kind }
    this.found.push(change)
  }

  private trustOf({ record, gone, noted, resumedAt }: Followed, now: number): [Trust, SensorFault | null] {
    const { sensor, at, earning } = record
    const fault = record.fault()
    if (gone) return ['lost', { kind: 'gone', why: gone }]
    if (at === null && noted.trust === 'ok') return ['lost', neverReported]
    const age = (now - Math.max(at ?? 0, resumedAt)) / 1000
    const quiet = silence(age, Math.max(sensor.interval, this.recordedInterval))
    // readings that come in, but with a wrong clock, look as old as the clock is wrong
    if (fault && (quiet !== 'lost' || record.clockFault)) return ['suspect', fault]
    // one that has to earn its trust is not just late, which would be forgiven
    if (earning && quiet !== 'lost') return ['suspect', this.waiting(record, quiet === 'ok' ? earning.goodSince : null)]
    if (quiet !== 'ok') return [quiet, silent(sensor.interval, record.late, age)]
    return ['ok', null]
  }

  private waiting({ sensor }: SensorRecord, goodSince: number | null): SensorFault {
    const interval = Math.max(sensor.interval, this.recordedInterval)
    const until = goodSince === null ? null : goodSince + earningTime(interval) * 1000
    return { kind: 'earning', goodSince, until }
  }

  isBelieved(id: string): boolean {
    return this.followed.get(id)?.trust === 'ok'
  }

  /** Its newest value, °C, or 1 or 0 of a state sensor; null when it has none or is not believed. */
  believedValue(id: string): number | null {
    const entry = this.followed.get(id)
    return entry?.trust === 'ok' ? entry.record.value : null
  }

  state(id: string): SensorState | undefined {
    const entry = this.followed.get(id)
    if (!entry) return undefined
    const { record, trust, fault, since, battery, signal } = entry
    return {
      sensor: id,
      value: record.value,
      at: record.at,
      trust,
      fault,
      since,
      ...(battery && { battery }),
      ...(signal && { signal }),
    }
  }

  states(): SensorState[] {
    return [...this.followed.keys()].map(id => this.state(id)!)
  }

  /** What must be known after a restart and was found since this was last asked. */
  takeFound(): TrustChange[] {
    const changes = this.found
    this.found = []
    return changes
  }

  /** What is said now of those that are suspect. */
  suspects(now: number): TrustChange[] {
    return [...this.followed.values()].flatMap(entry =>
      entry.trust === 'suspect' ? [found(entry, entry.trust, now)] : [],
    )
  }

  /** The states that may have changed since this was last asked. */
  takeChanged(): SensorState[] {
    const states = [...this.changed].map(id => this.state(id)!)
    this.changed.clear()
    return states
  }
}

const found = (entry: Followed, trust: TrustChange['trust'], at: number): TrustChange => {
  const { record, beside, since, fault } = entry
  const earning = { kind: 'earning' as const, goodSince: record.earning?.goodSince ?? null }
  const basis = trust === 'suspect' ? (record.basis() ?? beside.basis() ?? earning) : null
  return { sensor: record.sensor.id, at, trust, since, fault: trust === 'ok' ? null : fault, basis }
}

const isSame = (one: SensorFault | null, other: SensorFault | null): boolean =>
  one === other || JSON.stringify(one) === JSON.stringify(other)
