import type { FaultBasis, SensorFault, TrustChange } from '../../core/state.js'
import {
  commonShift,
  hasDrifted,
  levelAfter,
  levelOfDay,
  levelSpacing,
  meansSpacing,
  noUsualLevel,
  partOfFurthest,
  stepsOff,
  strayedBy,
  strayedHonestly,
} from '../../core/trust/index.js'
import type { SensorRecord } from './sensor-record.js'

/** buckets of five minutes in a step, and steps in a day */
const buckets = levelSpacing / meansSpacing
const stepsOfADay = 86_400 / levelSpacing
/** ms; a doubt has an end: after it what is usual is learned anew, and what is left is an offset */
const longest = 7 * 86_400_000
/** 0..1; once no more than this part is left of the deviation for which it was doubted, it is doubted no longer */
const back = 0.5
/** half hours that are looked at once it is back */
const returned = 12
/** 0..1; of the range of these half hours, what no temperature moves by within one of them */
const atOnce = 0.4

interface Standing {
  fault: SensorFault
  /** ms; when it was found */
  at: number
  /** K; its deviation then */
  drift: number
  /** it was found over days, not within hours */
  isSlow: boolean
}

/** How far one sensor stands above what its body follows, and whether that is as usual. */
export class LevelWatch {
  /** what its body follows; null for what others follow */
  reference: SensorRecord | null = null
  private usual = noUsualLevel
  /** °C; the reference as a body of its time constant follows it */
  private delayed = Number.NaN
  /** K above it; of the last day, newest last */
  private values: number[] = []
  /** half hours taken in the day that runs, and in all */
  private taken = 0
  private takenAtAll = 0
  private standing: Standing | null = null

  constructor(readonly record: SensorRecord) {}

  get fault(): SensorFault | null {
    return this.standing?.fault ?? null
  }

  basis(): FaultBasis | null {
    if (!this.standing) return null
    const { drift, isSlow } = this.standing
    return { kind: 'at odds', before: this.usual.base, drift, isSlow }
  }

  resume(fault: SensorFault, at: number, basis: Extract<TrustChange['basis'], { kind: 'at odds' }>): void {
    this.standing = { fault, at, drift: basis.drift, isSlow: basis.isSlow ?? false }
    this.usual = { ...this.usual, base: basis.before }
  }

  /** What was usual no longer is: its offset was changed. */
  forget(): void {
    this.usual = noUsualLevel
    this.standing = null
    this.values = []
    this.delayed = Number.NaN
    this.takenAtAll = 0
  }

  /** Half an hour more. @param own, followed °C; NaN where not known */
  take(own: number, followed: number): void {
    if (Number.isNaN(followed)) {
      this.delayed = Number.NaN
      return
    }
    if (Number.isNaN(this.delayed)) this.delayed = own - this.usual.base - (this.standing?.drift ?? 0)
    this.delayed += (1 - Math.exp(-levelSpacing / this.record.timeConstant)) * (followed - this.delayed)
    if (Number.isNaN(own) || Number.isNaN(this.delayed)) return
    this.taken++
    this.takenAtAll++
    this.values.push(this.reference ? own - this.delayed : 0)
    if (this.values.length > stepsOfADay) this.values.shift()
  }

  /** K from its base now; NaN while it is doubted, or nothing is known */
  off(): number {
    return this.standing ? Number.NaN : (this.values.at(-1) ?? Number.NaN) - this.usual.base
  }

  /** How far it is now, as a part of the furthest; NaN while it is doubted, or nothing is known */
  part(): number {
    return this.reference ? partOfFurthest(this.usual, this.off()) : Number.NaN
  }

  /** The day's deviation in steps of its usual size; NaN while it is doubted. @param excess K */
  steps(excess: number): number {
    return this.standing ? Number.NaN : stepsOff(this.usual, excess)
  }

  /** Whether it strays within hours. @param common K, see `commonShift` @param others see `unusualBy` @param now ms */
  look(common: number, others: readonly number[], now: number): void {
    const { standing } = this
    const offsOf = (steps: number) => this.values.slice(-steps).map(value => value - this.usual.base)
    const offs = offsOf(4)
    if (!standing) {
      const off = strayedBy(this.usual, offs, common, others)
      if (off !== 0) this.stray(off, now, false)
    } else if (now - standing.at > longest) this.forget()
    else if (!standing.isSlow && offs.every(off => off / standing.drift < back)) {
      const since = offsOf(returned)
      if (cameBackSlowly(since)) this.usual = strayedHonestly(this.usual, since)
      this.standing = null
    }
  }

  /** K; how far the day's level was from its base; NaN where it is not known */
  shift(): number {
    // what it is compared with began at its own temperature: half a day long its level tells of that alone
    if (this.takenAtAll - this.taken < stepsOfADay / 2) return Number.NaN
    return this.taken < stepsOfADay / 2 ? Number.NaN : levelOfDay(this.values) - (this.usual.days && this.usual.base)
  }

  /** The day is over. @param excess K; NaN: nothing is known of it @param others see `unusualBy` @param now ms */
  endDay(excess: number, others: readonly number[], now: number): void {
    this.taken = 0
    if (Number.isNaN(excess)) return
    this.usual = levelAfter(this.usual, this.values, levelOfDay(this.values), excess, others, this.standing !== null)
    if (!this.standing && hasDrifted(this.usual, excess)) this.stray(excess, now, true)
    else if (this.standing?.isSlow && excess / this.standing.drift < back) this.standing = null
  }

  private stray(off: number, at: number, isSlow: boolean): void {
    this.standing = { fault: { kind: 'strayed', off, isSlow }, at, drift: off, isSlow }
  }
}

/** Whether it came back as a temperature does: a sensor that is put back in its place does so at once. @param offs K */
const cameBackSlowly = (offs: readonly number[]): boolean => {
  const range = Math.max(...offs) - Math.min(...offs)
  return offs.every((off, i) => i === 0 || Math.abs(off - offs[i - 1]!) < atOnce * range)
}

/**
 * What the sensors of one machine do, at the end of each half hour.
 *
 * @param of what is known of a sensor in it, °C; NaN where nothing is, or it is not believed
 * @param step half hours since 1970
 */
export const takeStep = (
  watches: readonly LevelWatch[],
  step: number,
  of: (record: SensorRecord) => number,
  isLearning = false,
): void => {
  const now = (step + 1) * levelSpacing * 1000
  for (const watch of watches) {
    const own = of(watch.record)
    watch.take(own, watch.reference ? of(watch.reference) : own)
  }
  if (!isLearning) {
    const common = commonShift(watches.map(watch => watch.off()))
    const parts = watches.map(watch => watch.part())
    for (const [i, watch] of watches.entries()) watch.look(common, without(parts, i), now)
  }
  if ((step + 1) % stepsOfADay !== 0) return
  const shifts = watches.map(watch => watch.shift())
  const common = commonShift(shifts.map((shift, i) => (watches[i]!.fault ? Number.NaN : shift)))
  const steps = watches.map((watch, i) => watch.steps(shifts[i]! - common))
  for (const [i, watch] of watches.entries()) watch.endDay(shifts[i]! - common, without(steps, i), now)
}

const without = (all: readonly number[], i: number): number[] => all.filter((_, j) => j !== i)

/** The mean over a half hour of five-minute means, °C; NaN where there is none. @param step half hours since 1970 */
export const meanOfStep = ({ means }: SensorRecord, step: number): number => {
  let sum = 0
  let count = 0
  for (let bucket = step * buckets; bucket < (step + 1) * buckets; bucket++) {
    const mean = means.mean(bucket)
    if (Number.isNaN(mean)) continue
    sum += mean
    count++
  }
  return count ? sum / count : Number.NaN
}

/** The half hour that ends with a bucket; null where none does. */
export const stepEndingWith = (bucket: number): number | null =>
  (bucket + 1) % buckets === 0 ? (bucket + 1) / buckets - 1 : null
