import type { FaultBasis, SensorFault, TrustChange } from '../../core/state.js'
import {
  type AirFollowing,
  compareWithAir,
  followingEvidence,
  followingFree,
  followsAir,
  frozen,
  habitAfter,
  keptOf,
  meansSpacing,
  noFollowing,
  noHabit,
  quickFree,
  steppedToAir,
  typicalMove,
} from '../../core/trust/index.js'
import { grouped } from '../grouped.js'
import { LevelWatch } from './level-watch.js'
import { bucketAt, oldestKept, type RecentMeans } from './recent-means.js'
import type { SensorRecord } from './sensor-record.js'

/** neighbours that are asked at most: the shop's air has many, and more would tell no more */
const mostNeighbours = 12
/** buckets of five minutes; the means of two so far apart show the whole step of a sensor that fell off */
const fallWithin = 2
/** buckets of a day */
const day = 86_400 / meansSpacing
/** K; a sensor of larger steps is compared with the air over so many buckets */
const coarse = 0.2
const coarseSpan = 3
/** evidence of following the air from which on what it does is not what it usually does */
const unusual = 6
/**
 * s; after which a fall no longer counts: a body would have come to the air by then, and nothing tells the two apart
 */
const fallForgotten = (timeConstant: number): number => Math.max(6 * 3600, 3 * timeConstant)

/** Something the neighbours say against a sensor, and what would take it back. */
interface Standing {
  kind: 'frozen' | 'fell off'
  fault: SensorFault
  /** ms; newest evidence */
  at: number
  /** frozen: since when, ms; fell off by a step: K it stood off the air before (0 if there was no step) */
  before: number
}

/** One sensor among those beside it: what they say against it, and what would take that back. */
export class Neighbourhood {
  readonly level: LevelWatch
  private air: SensorRecord | null = null
  private others: SensorRecord[] = []
  /** buckets; what sensors that report seldom left out is known so much later */
  private lag = 0
  /** how it goes with the air now, and usually */
  private following: AirFollowing = noFollowing
  private usually: AirFollowing = noFollowing
  /** evidence that it goes with the air */
  private evidence = 0
  /** for which it was watched */
  private days = 0
  /** what it did at most on the days before: quick moves, K, and evidence that it went with the air */
  private quickest = noHabit
  private mostFollowing = noHabit
  /** the same in the day that runs */
  private today = { quick: 0, following: 0 }
  /** bucket until which it teaches nothing: it was doubted, or has just been put back */
  private unsureUntil = 0
  private standing: Standing | null = null

  constructor(readonly record: SensorRecord) {
    this.level = new LevelWatch(record)
  }

  /** @param beside sensors that feel the same changes (see `besideEachOther`), this one perhaps among them */
  meet(beside: readonly SensorRecord[]): void {
    this.others = beside
      .slice(0, mostNeighbours + 1)
      .filter(r => r !== this.record)
      .slice(0, mostNeighbours)
    const follows = this.record.node?.follows
    const followed = this.others.find(r => r.sensor.at.kind === 'node' && r.sensor.at.node === follows) ?? null
    this.level.reference = followed
    const slowest = Math.max(this.record.sensor.interval, followed?.sensor.interval ?? 0)
    this.lag = slowest > meansSpacing ? Math.ceil(slowest / meansSpacing) : 0
    this.air = this.record.place === 'body' && followed?.place === 'air' ? followed : null
  }

  /**
   * What the neighbours say once a five-minute bucket is complete.
   *
   * @param bucket the complete one
   * @param believed whether a sensor may be heard
   * @param isLearning what is usual is learned, and nobody blamed
   */
  judge(bucket: number, believed: (record: SensorRecord) => boolean, isLearning: boolean): void {
    const heard = this.others.filter(believed)
    const air = this.air && believed(this.air) ? this.air : null
    const at = bucket * meansSpacing * 1000
    if (bucket % day === 0) this.endDay()
    if (!believed(this.record)) this.unsureUntil = bucket + 2 * fallWithin
    const repeated = this.repeats(heard, bucket - this.lag)
    const fall = air && this.fall(air, heard, bucket - this.lag)
    if (isLearning) return
    const { standing } = this
    const { since } = this.record.valueRun()
    if (standing?.kind === 'frozen' && since !== standing.before) this.standing = null
    if (standing?.kind === 'fell off' && this.isBackFrom(standing, air, bucket - this.lag)) this.standing = null
    if (repeated) this.standing = { kind: 'frozen', fault: repeated, at, before: since }
    else if (fall) {
      // its step would hide for an hour what it does from now on
      if (fall.before !== 0) this.following = noFollowing
      if (this.standing?.kind !== 'fell off') this.standing = { kind: 'fell off', ...fall, at }
      else this.standing.at = at
      this.today = { quick: 0, following: 0 }
    }
    this.record.besideOthers = this.standing?.fault ?? this.level.fault
  }

  private endDay(): void {
    this.days++
    if (this.usually.air > 0) {
      this.quickest = habitAfter(this.quickest, this.today.quick, quickFree)
      this.mostFollowing = habitAfter(this.mostFollowing, this.today.following, followingFree)
    }
    this.today = { quick: 0, following: 0 }
  }

  /** What their fault rests on; null when there is none. */
  basis(): FaultBasis | null {
    if (!this.standing) return this.level.basis()
    const { kind, at, before } = this.standing
    return kind === 'frozen' ? { kind, value: this.record.valueRun().value } : { kind, at, before }
  }

  /** What they said before a restart holds until they take it back. */
  resume({ at, fault, basis }: TrustChange): void {
    if (!fault) return
    if (basis?.kind === 'frozen') {
      const { since } = this.record.valueRun()
      this.standing = { kind: basis.kind, fault, at, before: since }
    } else if (basis?.kind === 'fell off') this.standing = { ...basis, fault }
    else if (basis?.kind === 'at odds') this.level.resume(fault, at, basis)
    else return
    this.record.besideOthers = fault
    this.record.told = null
  }

  private repeats(heard: readonly SensorRecord[], bucket: number): SensorFault | null {
    const run = this.record.valueRun()
    if (run.repeats < 2) return null
    const from = Math.max(bucketAt(run.since) + 1, oldestKept(bucket))
    const typical = typicalMove(known(heard.map(({ means }) => means.moved(from, bucket))))
    const fault = frozen(run, typical, { largest: run.neighboursMoved, days: this.days }, this.record.timeConstant)
    this.record.repeated.neighboursMoved(typical)
    return fault
  }

  private fall(
    air: SensorRecord,
    heard: readonly SensorRecord[],
    bucket: number,
  ): { fault: SensorFault; before: number } | null {
    const { timeConstant, means: own } = this.record
    this.compare(own, air.means, bucket)
    const before = bucket - fallWithin
    // what it just did is not yet what it usually does
    if (bucket >= this.unsureUntil)
      this.today.quick = Math.max(this.today.quick, Math.abs(own.moved(before - fallWithin, before)) || 0)
    const stood = own.mean(before) - air.means.mean(bucket)
    // most sensors are settled by this: they stand near the air, or hardly moved
    const step =
      Math.abs(own.moved(before, bucket)) > 0.5 &&
      steppedToAir(
        own.mean(before),
        own.mean(bucket),
        air.means.mean(before),
        air.means.mean(bucket),
        fallWithin * meansSpacing,
        timeConstant,
        {
          others: known(heard.filter(r => r.place === 'body').map(({ means }) => means.moved(before, bucket))),
          quickest: { ...this.quickest, largest: Math.max(this.quickest.largest, this.today.quick) },
        },
      )
    if (step) return { fault: step, before: stood }
    const fault = followsAir(this.evidence, this.mostFollowing)
    return fault && { fault, before: 0 }
  }

  /** Whether it goes with the air: over as many buckets as a slow sensor needs, or a coarse one. */
  private compare(own: RecentMeans, air: RecentMeans, bucket: number): void {
    const { timeConstant } = this.record
    const { resolution } = this.record.valueRun()
    const span = Math.max(1, this.lag, resolution > coarse ? coarseSpan : 0)
    if (bucket % span !== 0) return
    const { following, usually } = this
    const changes = [own.moved(bucket - span, bucket), air.moved(bucket - span, bucket)] as const
    this.following = compareWithAir(following, ...changes, keptOf.now)
    const spacing = span * meansSpacing
    this.evidence = followingEvidence(
      this.evidence,
      following,
      this.following,
      usually,
      spacing,
      timeConstant,
      resolution,
    )
    if (bucket < this.unsureUntil) return
    if (this.evidence < unusual) this.usually = compareWithAir(usually, ...changes, keptOf.usual)
    this.today.following = Math.max(this.today.following, this.evidence)
  }

  private isBackFrom({ at, before }: Standing, air: SensorRecord | null, bucket: number): boolean {
    if (bucket * meansSpacing - at / 1000 > fallForgotten(this.record.timeConstant)) return true
    if (!air) return false
    const off = this.record.means.mean(bucket) - air.means.mean(bucket)
    return before === 0 ? this.evidence === 0 : off / before > 0.5
  }
}

const known = (values: readonly number[]): number[] => values.filter(value => !Number.isNaN(value))

/** The machine that a sensor sits on; empty: none. */
export const machineOf = ({ sensor: { at } }: SensorRecord): string => (at.kind === 'node' ? at.machine : '')

/**
 * Sensors that feel the same changes: those on one machine, and those in the air of the shop and at its machines.
 *
 * @param all the shop's sensors of temperature
 * @returns finds those that one of them is to be compared with; a lookup, as a shop may have thousands
 */
export const besideEachOther = (all: readonly SensorRecord[]): ((record: SensorRecord) => readonly SensorRecord[]) => {
  const onMachine = grouped(all, machineOf)
  const inAir = all.filter(
    ({ place, sensor: { at } }) => at.kind === 'shop air' || (at.kind === 'node' && place === 'air'),
  )
  return record => {
    const { at } = record.sensor
    if (at.kind === 'node') return onMachine.get(machineOf(record)) ?? []
    return at.kind === 'shop air' ? inAir : []
  }
}
