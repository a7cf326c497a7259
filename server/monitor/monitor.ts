import type { PlannedAir, PlannedCourse } from '../../core/judge/index.js'
import type { Shop, WorkClass } from '../../core/shop.js'
import type { KnownSpindle } from '../../core/spindle/index.js'
import type {
  Datum,
  FitByOutcome,
  Forecast,
  MachineState,
  SensorState,
  ShopState,
  TrustChange,
  VerdictChange,
} from '../../core/state.js'
import type { Condition } from '../ingest/condition.js'
import type { Reading } from '../ingest/reading.js'
import type { Circumstances } from './circumstances.js'
import type { IdentifiedSettling } from './node-follower.js'
import type { Anew } from './shop-change.js'

/** What changed since the listener was last called. */
export interface MonitorChange {
  machines: MachineState[]
  sensors: SensorState[]
  shop: ShopState | null
  verdicts: VerdictChange[]
  /** times found for "fit by" of which it is known now what came */
  fitBys: FitByOutcome[]
  /** what must be known of sensors after a restart */
  trust: TrustChange[]
  /** another shop file has taken effect: what there was before may be gone */
  anew?: true
}

/**
 * The live state. It has no clock: time comes in with `advance`, so the same code runs live, over the demo's invented
 * fortnight and in the examination.
 */
export interface Monitor {
  // all moments that are given and returned are in ms since 1970 (UTC)
  /** takes committed readings, in any order */
  take(readings: readonly Reading[]): void
  /** takes what devices tell of themselves, in any order; only the newest is kept */
  takeConditions(conditions: readonly Condition[]): void
  /** moves the monitor's time forward, evaluates what changed, calls the listeners */
  advance(now: number): void
  /** the same, a machine a step; begun only when the one before it has come to its end */
  advancing(now: number): Generator<void, void>
  shop(): ShopState
  machines(): MachineState[]
  machine(id: string): MachineState | undefined
  sensors(): SensorState[]
  /** what is said now of the sensors that are suspect, as it is kept over a restart */
  suspects(): TrustChange[]
  /** the machine's state now becomes its datum; throws when a needed node is unknown */
  datumNow(machine: string): Omit<Datum, 'id' | 'by' | 'note'>
  setDatum(datum: Datum): void
  /** what work of a class would be judged by on a machine now, also of one that is not in the shop file */
  circumstances(machine: string, workClass: WorkClass): Circumstances
  /**
   * Where a machine will be under a plan (empty: if conditions hold), in steps of a few ms.
   *
   * @param sources where its air goes when sources change as planned
   * @param length s, up to 72 h
   * @param points moments wanted, evenly spaced, the first now
   * @returns its first step throws when a needed node is unknown
   */
  forecasting(
    machine: string,
    plan: readonly PlannedAir[],
    length: number,
    points: number,
    sources?: PlannedCourse,
  ): Generator<void, Forecast>
  /** scale factors of a machine's thermal loop from now on, by element; none: the nominal model */
  setFactors(machine: string, factors: Readonly<Record<string, number>>): void
  /** what is known of a machine's spindle from its newest growth test; null: nothing, what the shop file states holds */
  setSpindle(machine: string, known: KnownSpindle | null): void
  /**
   * Another offset of a sensor, from now on. What is followed moves with it, and so does a datum of its machine: the
   * temperature has not changed, only what is known of it.
   *
   * @param offset K
   */
  setOffset(sensor: string, offset: number): void
  /** how a body settles from now on, as identified from its history; null: as configured */
  setSettling(machine: string, node: string, identified: IdentifiedSettling | null): void
  /** their network says that sensors are gone, and why; null: that they are back */
  setGone(sensors: readonly string[], reason: string | null): void
  /** what is wrong with the shop file, which is not in force therefore; null: nothing */
  setShopProblem(problem: string | null): void
  setBroker(state: 'connected' | 'away'): void
  /** why readings cannot be stored, and what to do; null: they can */
  setUnstored(why: string | null): void
  /**
   * Says what else makes readings go missing.
   *
   * @param what the kind of trouble
   * @param why  what is wrong and what to do; null when it is over
   */
  setTrouble(what: string, why: string | null): void
  /**
   * Says that recorded readings are being taken in, and how far that is (0 to 1; null when done).
   *
   * @param interval s; how far apart the recorded readings may be without their sensor counting as late; as before if
   * left out
   */
  setFilling(part: number | null, interval?: number): void
  onChange(listener: (change: MonitorChange) => void): () => void
}

/** What a monitor begins with. */
export interface MonitorStart {
  shop: Shop
  /** newest verdict of each machine and work class, from the store */
  lastVerdicts?: readonly VerdictChange[]
  /** data were stored until shortly before; otherwise what was fit must earn it anew once data are missing */
  goesOn?: boolean
  /** those of the last two weeks, for what mornings are usually like */
  pastVerdicts?: readonly VerdictChange[]
  /** newest datum of each machine */
  datums?: readonly Datum[]
  /** what became of the times found lately for "fit by", the oldest first */
  fitBys?: readonly FitByOutcome[]
}

/** The monitor as recovery and a change of the shop file need it; all others hold on to `Monitor`. */
export interface LiveMonitor extends Monitor {
  /**
   * Takes in again what is stored, with what was found of the sensors meanwhile, each in its place: what was not
   * believed then is not followed now.
   *
   * @param readings in order of time
   * @param found in the order in which it was found
   * @param now ms; what is said to have been found later counts as found now
   */
  replay(readings: readonly Reading[], found: readonly TrustChange[], now: number): void
  /**
   * Takes in what temperatures have usually been, from before what `replay` takes in again.
   *
   * @param means of half hours, °C, without the sensors' offsets, in order of time
   */
  recall(means: readonly Reading[]): void
  /**
   * Another shop file takes effect. What it makes anew knows nothing until it is told (`setFactors`, `setSettling`,
   * `replay`); the rest goes on without a break. The shop given at the start becomes the new one.
   */
  change(next: Shop, anew: Anew, known: Pick<MonitorStart, 'lastVerdicts' | 'datums'>): void
}
