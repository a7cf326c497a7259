import {
  type CourseAhead,
  correct,
  followLevel,
  type HeldSettling,
  type Level,
  type NodeEstimate,
  NodeForecast,
  type ObserverSettings,
  predict,
  startFollowing,
  steadyUncertainty,
} from '../../core/settling/index.js'
import type { Node } from '../../core/shop.js'
import { EvenMeans } from './even-means.js'
import type { UsualSlots } from './usual-slots.js'

/** K, standard; noise and resolution of a usual sensor. Judgement, no source */
const noise = 0.05
/** K, standard; the same with the to and fro of a chiller that switches. Judgement, no source */
const coolantNoise = 0.12
/**
 * A coolant is followed as a body that approaches a level of its own, counted from here, °C: where its chiller, or the
 * machine's heat, is taking it shows as its excess.
 */
const coolantBase = 20
/** s; time constant of a coolant tank with its chiller; common practice, no source */
const coolantSettling = 1200
/** K per square root of an hour; how far a coolant goes where its own record does not tell yet. Judgement, no source */
const coolantSpread = 0.35
/** K, standard; how far a body's own heat, and a coolant's level, wander in an hour. Judgement, no source */
const wander = { body: 0.4, coolant: 0.4 }
/** s; after a longer gap a body is followed anew. Judgement, no source */
const longestGap = 3600
/** s; time constant with which is learned how well it usually is known where a body is heading. Judgement, no source */
const usually = 12 * 3600

/** How a body follows its surroundings, as identified from its history. */
export interface IdentifiedSettling {
  /** s */
  timeConstant: number
  /** relative standard uncertainty */
  uncertainty: number
  /** K; null when not known */
  steadyExcess: number | null
}

/** Follows one node through its readings. */
export class NodeFollower {
  /** ms; newest believed reading */
  at: number | null = null
  /** minute means, for the rate */
  readonly minutes = new EvenMeans(60_000, 60)
  /** five-minute means of a day, for what is ordinary */
  readonly day = new EvenMeans(300_000, 288)
  /** what its past tells of its course */
  readonly ahead: NodeForecast
  private estimate: NodeEstimate | null = null
  /** logarithm of the standard uncertainty (K) of where it is heading, as it usually is; NaN while not known */
  private usualSpread = Number.NaN
  private level: Level | null = null
  /** what holds instead of the configured time constant */
  identified: IdentifiedSettling | null = null

  constructor(
    readonly node: Node,
    private readonly slots: UsualSlots,
  ) {
    this.ahead = new NodeForecast(node.kind === 'coolant' ? coolantSpread : undefined)
  }

  /** s; null for air and coolant */
  get timeConstant(): number | null {
    return this.identified?.timeConstant ?? this.node.timeConstant ?? null
  }

  /** relative standard uncertainty; null for air and coolant */
  get timeConstantUncertainty(): number | null {
    return this.identified?.uncertainty ?? this.node.timeConstantUncertainty ?? null
  }

  /** How it is taken to settle. @param steadyExcess K above its surroundings, or a coolant's above its base */
  private settings(steadyExcess = this.identified?.steadyExcess ?? this.node.steadyExcess ?? 0): ObserverSettings {
    if (this.node.kind === 'coolant')
      return { timeConstant: coolantSettling, steadyExcess, noise: coolantNoise, wander: wander.coolant }
    return { timeConstant: this.timeConstant ?? 3600, steadyExcess, noise, wander: wander.body }
  }

  /** What it was told of late was wrong: it follows anew from the next reading on. */
  forget(): void {
    this.estimate = null
    this.level = null
  }

  /**
   * Takes a reading; one before the newest is left out.
   *
   * @param at ms
   * @param value °C
   * @param surroundings temperature of what the node follows, °C; null for air, coolant, or when unknown
   */
  take(at: number, value: number, surroundings: number | null): void {
    if (this.at !== null && at < this.at) return
    this.at = at
    this.minutes.add(at, value)
    this.day.add(at, value)
    if (this.node.kind === 'air') {
      this.level = followLevel(this.level, at, value)
      this.ahead.take(at, this.level.value, this.slots.at, () => null)
      return
    }
    const around = this.node.kind === 'coolant' ? coolantBase : surroundings
    if (around === null) return
    if (!this.estimate || at - this.estimate.at > longestGap * 1000) {
      const settings = this.node.kind === 'coolant' ? this.settings(value - coolantBase) : this.settings()
      this.estimate = startFollowing(at, value, settings)
      return
    }
    const elapsed = (at - this.estimate.at) / 1000
    this.estimate = correct(predict(this.estimate, around, at, this.settings()), value, this.settings())
    this.noteSpread(elapsed)
    this.ahead.take(at, this.estimate.temperature, this.slots.at, () => this.heldSettling(around))
  }

  /** A mean (°C) of a past half hour, of which only the usual day is learned. */
  recall(at: number, mean: number): void {
    this.ahead.recall(this.slots.at(at), mean)
  }

  /** Learns how well it usually is known where it is heading. @param elapsed s */
  private noteSpread(elapsed: number): void {
    const { at, since } = this.estimate!
    // at first it is uncertain because little has been seen
    if (at - since < longestGap * 1000) return
    const spread = Math.log(steadyUncertainty(this.estimate!))
    if (Number.isNaN(this.usualSpread)) this.usualSpread = spread
    else this.usualSpread += (1 - Math.exp(-elapsed / usually)) * (spread - this.usualSpread)
  }

  /** K, standard; how well it usually is known where it is heading; undefined while that is not known */
  get usualSteadyUncertainty(): number | undefined {
    return Number.isNaN(this.usualSpread) ? undefined : Math.exp(this.usualSpread)
  }

  /** Where it would settle if its surroundings (°C) and its own heat stayed as they are. */
  private heldSettling(around: number): HeldSettling | null {
    if (!this.estimate) return null
    return { steadyTemperature: around + this.estimate.excess, timeConstant: this.settings().timeConstant }
  }

  /**
   * Where it is heading, as its past tells.
   *
   * @param now ms
   * @param temperature °C now
   * @param surroundings °C; what a body follows
   */
  course(now: number, temperature: number, surroundings: number | null): CourseAhead {
    const around = this.node.kind === 'coolant' ? coolantBase : surroundings
    return this.ahead.course(temperature, this.slots.ahead(now), around === null ? null : this.heldSettling(around))
  }

  /** Its readings were all too low by so many K: it settles as before, so much warmer. */
  shift(change: number): void {
    this.minutes.shift(change)
    this.day.shift(change)
    this.ahead.shift(change)
    if (this.level) this.level = { ...this.level, value: this.level.value + change }
    if (!this.estimate) return
    const { temperature, excess } = this.estimate
    this.estimate = { ...this.estimate, temperature: temperature + change, excess: excess + change }
  }

  /** What it follows was all along so many K warmer than its readings said. */
  shiftSurroundings(change: number): void {
    if (this.estimate) this.estimate = { ...this.estimate, excess: this.estimate.excess - change }
  }

  /** °C; one bad reading moves nothing */
  temperature(): number | null {
    return (this.node.kind === 'air' ? this.level?.value : this.estimate?.temperature) ?? null
  }

  /**
   * A body's or coolant's estimate carried forward, and where it is heading.
   *
   * @param now ms
   * @param surroundings °C; what a body follows (no matter for a coolant)
   */
  outlookAt(
    now: number,
    surroundings: number,
  ): { estimate: NodeEstimate; steadyTemperature: number; timeConstant: number } | null {
    if (!this.estimate) return null
    const around = this.node.kind === 'coolant' ? coolantBase : surroundings
    const settings = this.settings()
    const estimate = predict(this.estimate, around, now, settings)
    return { estimate, steadyTemperature: around + estimate.excess, timeConstant: settings.timeConstant }
  }
}
