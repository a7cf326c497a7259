import type { FaultBasis, SensorFault, TrustChange } from '../../core/state.js'
import { median } from '../../core/statistics/index.js'
import {
  type AirFollowing,
  airMoved,
  atOdds,
  compareWithAir,
  followsAir,
  frozen,
  meansSpacing,
  noFollowing,
  oddsForgotten,
  oddsWindow,
  steppedToAir,
} from '../../core/trust/index.js'
import { bucketAt, oldestKept } from './recent-means.js'
import type { SensorRecord } from './sensor-record.js'

/** neighbours that are asked at most: the shop's air has many, and more would tell no more */
const mostNeighbours = 12
/** buckets of five minutes; the means of two so far apart show the whole step of a sensor that fell off */
const fallWithin = 2
/**
 * s; after which a fall no longer counts: a body would have come to the air by then, and nothing tells the two apart
 */
const fallForgotten = (timeConstant: number): number => Math.max(6 * 3600, 3 * timeConstant)

/** Something the neighbours say against a sensor, and what would take it back. */
interface Standing {
  kind: 'frozen' | 'fell off' | 'at odds'
  fault: SensorFault
  /** ms; newest evidence */
  at: number
  /**
   * frozen: since when, ms; fell off by a step: K it stood off the air before (0 if there was no step); at odds: usual
   * difference to its neighbours, K
   */
  before: number
  /** K; at odds: what it wandered */
  drift: number
}

/** One sensor among those beside it: what they say against it, and what would take that back. */
export class Neighbourhood {
  private air: SensorRecord | null = null
  private others: SensorRecord[] = []
  private following: AirFollowing = noFollowing
  private standing: Standing | null = null

  constructor(readonly record: SensorRecord) {}

  /** @param beside sensors that feel the same changes (see `besideEachOther`), this one perhaps among them */
  meet(beside: readonly SensorRecord[]): void {
    this.others = beside
      .slice(0, mostNeighbours + 1)
      .filter(r => r !== this.record)
      .slice(0, mostNeighbours)
    const follows = this.record.node?.kind === 'body' ? this.record.node.follows : undefined
    this.air =
      this.others.find(r => r.place === 'air' && r.sensor.at.kind === 'node' && r.sensor.at.node === follows) ?? null
  }

  /**
   * What the neighbours say once a five-minute bucket is complete.
   *
   * @param bucket the complete one
   * @param believed whether a neighbour may be heard
   */
  judge(bucket: number, believed: (record: SensorRecord) => boolean): void {
    const heard = this.others.filter(believed)
    const air = this.air && believed(this.air) ? this.air : null
    const at = bucket * meansSpacing * 1000
    const fall = air && this.fall(air, heard, bucket)
    const repeated = this.repeats(heard, bucket)
    const odd = this.wanders(heard, bucket)
    const { standing } = this
    const { since } = this.record.valueRun()
    if (standing?.kind === 'frozen' && since !== standing.before) this.standing = null
    if (standing?.kind === 'fell off' && this.isBackFrom(standing, air, bucket)) this.standing = null
    if (standing?.kind === 'at odds' && this.agreesAgain(standing, bucket)) this.standing = null
    if (repeated) this.standing = { kind: 'frozen', fault: repeated, at, before: since, drift: 0 }
    else if (fall) {
      // its step would hide for an hour what it does from now on
      if (fall.before !== 0) this.following = noFollowing
      if (this.standing?.kind !== 'fell off') this.standing = { kind: 'fell off', ...fall, at, drift: 0 }
      else this.standing.at = at
    } else if (odd && !this.standing) this.standing = { kind: 'at odds', ...odd, at }
    else if (odd && this.standing?.kind === 'at odds') this.standing.at = at
    this.record.besideOthers = this.standing?.fault ?? null
  }

  /** What their fault rests on; null when there is none. */
  basis(): FaultBasis | null {
    if (!this.standing) return null
    const { kind, at, before, drift } = this.standing
    if (kind === 'frozen') return { kind, value: this.record.valueRun().value }
    return kind === 'fell off' ? { kind, at, before } : { kind, before, drift }
  }

  /** What they said before a restart holds until they take it back. */
  resume({ at, fault, basis }: TrustChange): void {
    if (!fault) return
    if (basis?.kind === 'frozen') {
      const { since } = this.record.valueRun()
      this.standing = { kind: basis.kind, fault, at, before: since, drift: 0 }
    } else if (basis?.kind === 'fell off') this.standing = { drift: 0, ...basis, fault }
    else if (basis?.kind === 'at odds') this.standing = { ...basis, fault, at }
    else return
    this.record.besideOthers = fault
    this.record.told = null
  }

  private repeats(heard: readonly SensorRecord[], bucket: number): SensorFault | null {
    const run = this.record.valueRun()
    if (run.repeats < 2) return null
    const from = Math.max(bucketAt(run.since) + 1, oldestKept(bucket))
    return frozen(run, known(heard.map(({ means }) => means.moved(from, bucket))))
  }

  /** The largest change within the time of a step, in the hours before it; K. */
  private quickest(bucket: number): number {
    let quickest = 0
    for (let b = oldestKept(bucket) + fallWithin; b <= bucket - fallWithin; b++)
      quickest = Math.max(quickest, Math.abs(this.record.means.moved(b - fallWithin, b)) || 0)
    return quickest
  }

  private fall(
    air: SensorRecord,
    heard: readonly SensorRecord[],
    bucket: number,
  ): { fault: SensorFault; before: number } | null {
    const timeConstant = this.record.node!.timeConstant!
    const own = this.record.means
    const change = own.moved(bucket - 1, bucket)
    const airChange = air.means.moved(bucket - 1, bucket)
    this.following = compareWithAir(this.following, change, airChange)
    const before = bucket - fallWithin
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
          quickest: this.quickest(bucket),
        },
      )
    if (step) return { fault: step, before: stood }
    const fault = followsAir(this.following, timeConstant)
    return fault && { fault, before: 0 }
  }

  private isBackFrom({ at, before }: Standing, air: SensorRecord | null, bucket: number): boolean {
    const timeConstant = this.record.node!.timeConstant!
    if (bucket * meansSpacing - at / 1000 > fallForgotten(timeConstant)) return true
    if (!air) return false
    const off = this.record.means.mean(bucket) - air.means.mean(bucket)
    if (before !== 0 && off / before > 0.5) return true
    return airMoved(this.following) && !followsAir(this.following, timeConstant)
  }

  private wanders(
    heard: readonly SensorRecord[],
    bucket: number,
  ): { fault: SensorFault; before: number; drift: number } | null {
    // air and coolant may move alone for hours; the parts of a machine go together, and air that is not known is not still
    if (this.record.place !== 'body' || (this.air && !heard.includes(this.air))) return null
    const half = oddsWindow / meansSpacing / 2
    const own = this.record.means
    const first = own.moved(bucket - 2 * half, bucket - half)
    const second = own.moved(bucket - half, bucket)
    // most sensors are settled by this: they did not move
    if (!(Math.abs(first + second) > 0.5)) return null
    const moves = heard.map(({ means }) => {
      const a = means.moved(bucket - 2 * half, bucket - half)
      const b = means.moved(bucket - half, bucket)
      return Math.max(Math.abs(a), Math.abs(b), Math.abs(a + b))
    })
    const fault = atOdds(first, second, moves)
    return fault && { fault, before: this.offOthers(bucket - 2 * half), drift: first + second }
  }

  private agreesAgain({ before, drift, at }: Standing, bucket: number): boolean {
    if (bucket * meansSpacing - at / 1000 > oddsForgotten) return true
    return (this.offOthers(bucket) - before) / drift < 0.5
  }

  private offOthers(bucket: number): number {
    return this.record.means.mean(bucket) - median(known(this.others.map(({ means }) => means.mean(bucket))))
  }
}

const known = (values: readonly number[]): number[] => values.filter(value => !Number.isNaN(value))

/**
 * Sensors that feel the same changes: those on one machine, and those in the air of the shop and at its machines.
 *
 * @param all the shop's sensors of temperature
 * @returns finds those that one of them is to be compared with; a lookup, as a shop may have thousands
 */
export const besideEachOther = (all: readonly SensorRecord[]): ((record: SensorRecord) => readonly SensorRecord[]) => {
  const onMachine = new Map<string, SensorRecord[]>()
  const inAir: SensorRecord[] = []
  for (const record of all) {
    const { at } = record.sensor
    if (at.kind === 'shop air' || (at.kind === 'node' && record.place === 'air')) inAir.push(record)
    if (at.kind !== 'node') continue
    const there = onMachine.get(at.machine)
    if (there) there.push(record)
    else onMachine.set(at.machine, [record])
  }
  return ({ sensor: { at } }) => {
    if (at.kind === 'node') return onMachine.get(at.machine) ?? []
    return at.kind === 'shop air' ? inAir : []
  }
}
