import { temperatureAfter } from './first-order.js'
import { ForecastErrors, type Made } from './forecast-errors.js'
import { slotsOfDay, UsualDay } from './usual-day.js'

/** s; step of a course ahead, which is a slot of the usual day */
export const courseStep = 1800
/** steps ahead at which every forecast is compared with what came: half an hour to a day */
const horizons = [1, 2, 4, 8, 16, 24, 48] as const

/**
 * Ways to see ahead that stand side by side:
 * it stays · it eases back to its mean of the last hour · it goes as on a usual day of its kind, while what lately set it
 * apart from that fades within the hour and what has long done so stays · it follows its surroundings first order · it goes back to
 * its mean of the last day
 */
const models = 5
/** s; time constant of the mean that a temperature eases back to. Judgement, no source */
const recent = 3600
/** s; a temperature goes back in the end to its mean over `mean`, with the time constant `back`. Judgement, no source */
const day = { mean: 86_400, back: 6 * 3600 }
/** s; time constant with which it is learned what has long set it apart from a usual day. Judgement, no source */
const long = 4 * 3600
/** s; how quickly what is short-lived fades. Judgement, no source */
const fading = 3600
/** K per square root of an hour; what is expected of each way before any forecast could be compared. Our judgement */
const priorSpread = 0.7
/** such expectations count as this many independent forecasts */
const priorCount = 2
/**
 * Days on which the half hours that a forecast goes from and to must have been seen, for each kind of record that is kept of
 * errors: none, one, two or more. A usual day that was seen once tells much already, seen twice it tells most. Judgement.
 */
const familiar = [0, 1, 2] as const

/** Where a node is heading from where it is now. */
export interface CourseAhead {
  /** s between values; `courseStep` if not given */
  step?: number
  /** K; change from the present at every step, the first 0 */
  change: Float64Array
  /** K; standard uncertainty of each */
  spread: Float64Array
}

const along = (values: Float64Array, ahead: number, step = courseStep): number => {
  const index = Math.min(ahead / step, values.length - 1)
  const below = Math.floor(index)
  const from = values[below]!
  return from + (index - below) * ((values[below + 1] ?? from) - from)
}

/** Change on a course, K; beyond its end, its end. @param ahead s */
export const changeAt = ({ change, step }: CourseAhead, ahead: number): number => along(change, ahead, step)
/** Standard uncertainty of that change, K. @param ahead s */
export const spreadAt = ({ spread, step }: CourseAhead, ahead: number): number => along(spread, ahead, step)

/** How a body settles if its surroundings stay as they are. */
export interface HeldSettling {
  /** °C */
  steadyTemperature: number
  /** s */
  timeConstant: number
}

interface Horizon {
  /** by how familiar the half hours were, see `familiar` */
  errors: readonly ForecastErrors[]
  /** forecasts that what comes is still to be compared with, the oldest first */
  pending: (Made & { due: number; familiarity: number })[]
}

/**
 * Forecasts of one node, learned from how each of several models has done at each horizon.
 *
 * Each forecast is compared with what came. A model's weight at a horizon is its likelihood given these errors (normal,
 * with their own mean square; forecasts whose spans overlap count as one), the forecast is the mixture's mean and its
 * uncertainty that of the mixture: within models and between them. The band is then widened or narrowed until nine of
 * ten of what comes lie in its 90 %. Forecasts over half hours of the day that were never seen, were seen once, or more often, each
 * have a record of their own: a first Saturday says nothing of what is known of Wednesdays, nor the first days of the second week.
 *
 * @see Bar-Shalom, Y., Li, X. R. & Kirubarajan, T. (2001), Estimation with Applications to Tracking and Navigation, 11.6
 * (static multiple models: weights by likelihood, moments of the mixture)
 * @see Gibbs, I. & Candès, E. (2021), Adaptive conformal inference under distribution shift, NeurIPS 34 (bands that adapt
 * to their own misses; here the width does, not the level)
 */
export class NodeForecast {
  private readonly usual = new UsualDay()
  private readonly at: Horizon[]
  private step = Number.NaN
  private slot = 0
  private sum = 0
  private count = 0
  private last = Number.NaN
  private lastAt = Number.NaN
  /** °C; mean of the last hour, falling off exponentially */
  private lately = Number.NaN
  /** °C; the same of the last day */
  private daily = Number.NaN
  /** K; what has set it apart from its usual day for long */
  private apart = Number.NaN

  /** @param spread K per square root of an hour; what is expected of each way before any forecast could be compared */
  constructor(spread: number = priorSpread) {
    this.at = horizons.map(steps => {
      const errors: ForecastErrors[] = []
      for (const _ of familiar)
        errors.push(new ForecastErrors(models, steps, errors.at(-1) ?? (spread ** 2 * steps * courseStep) / 3600))
      return { errors, pending: [] }
    })
  }

  /**
   * @param at    ms, not before what was taken last
   * @param value °C, without eddies
   * @param slotAt slot of the usual day at a moment (ms)
   * @param held  how it settles, for a body whose surroundings are known
   */
  take(at: number, value: number, slotAt: (at: number) => number, held: () => HeldSettling | null): void {
    const step = Math.floor(at / (courseStep * 1000))
    if (step !== this.step) {
      this.close(step)
      this.slot = slotAt(at)
      this.step = step
      if (Number.isNaN(this.lately)) this.lately = value
      this.compare(step, value)
      this.forecast(at, value, slotAt, held())
    } else this.lately += (1 - Math.exp(-Math.max(0, at - this.lastAt) / 1000 / recent)) * (value - this.lately)
    this.sum += value
    this.count++
    this.last = value
    this.lastAt = at
  }

  /** Takes a past mean of a half hour (°C) for the usual day alone, as after a restart. */
  recall(slot: number, mean: number): void {
    this.usual.take(slot, mean)
  }

  /** All temperatures were so many K higher than was taken. */
  shift(change: number): void {
    this.usual.shift(change)
    this.sum += this.count * change
    this.last += change
    this.lately += change
    this.daily += change
    for (const { pending } of this.at)
      for (const each of pending) {
        each.mean += change
        for (let m = 0; m < models; m++) each.values[m]! += change
      }
  }

  /** Ends the half hour that is over. */
  private close(next: number): void {
    if (this.count === 0) return
    const mean = this.sum / this.count
    const usually = this.usual.at(this.slot)
    const apart = mean - usually
    const part = 1 - Math.exp(-courseStep / long)
    if (next - this.step > 6) this.lately = Number.NaN
    if (next - this.step > 6 || Number.isNaN(this.apart)) this.apart = apart
    else if (!Number.isNaN(apart)) this.apart += part * (apart - this.apart)
    if (Number.isNaN(this.daily)) this.daily = mean
    else this.daily += (1 - Math.exp(-courseStep / day.mean)) * (mean - this.daily)
    this.usual.take(this.slot, mean)
    this.sum = 0
    this.count = 0
  }

  /** Compares what was expected of this moment with what came. */
  private compare(step: number, value: number): void {
    for (const of of this.at) {
      while (of.pending.length > 0 && of.pending[0]!.due < step) of.pending.shift()
      const [made] = of.pending
      if (made?.due !== step) continue
      of.pending.shift()
      of.errors[made.familiarity]!.take(made, value)
      for (const after of of.errors.slice(made.familiarity + 1)) after.expectAnew()
    }
  }

  private forecast(at: number, value: number, slotAt: (at: number) => number, held: HeldSettling | null): void {
    horizons.forEach((steps, h) => {
      const then = slotAt(at + steps * courseStep * 1000)
      const familiarity = this.familiarity(this.slot, then)
      const values = this.modelsAt(value, this.slot, then, steps * courseStep, held)
      const weights = this.weights(h, familiarity)
      const { mean, spread } = this.mixture(values, familiarity, h, h, 0, weights, weights)
      this.at[h]!.pending.push({ due: this.step + steps, familiarity, values, mean, spread })
    })
  }

  /** What each model expects, °C. @param ahead s */
  private modelsAt(value: number, now: number, then: number, ahead: number, held: HeldSettling | null): Float64Array {
    const faded = 1 - Math.exp(-ahead / fading)
    const eased = value + (this.lately - value) * faded
    const [here, there] = [this.usual.at(now), this.usual.at(then)]
    const change = there - here - (value - here - this.apart) * faded
    return Float64Array.of(
      value,
      eased,
      Number.isNaN(change) ? eased : value + this.usual.believed(now, then) * change,
      held ? temperatureAfter(value, held.steadyTemperature, held.timeConstant, ahead) : value,
      Number.isNaN(this.daily) ? value : value + (this.daily - value) * (1 - Math.exp(-ahead / day.back)),
    )
  }

  /** How familiar the way between two slots is, as an index into `familiar`. */
  private familiarity(now: number, then: number): number {
    const seen = this.usual.daysSeen(now, then)
    return familiar.findLastIndex(days => seen >= days)
  }

  /** Weights of the models at a horizon: their likelihoods. */
  private weights(h: number, familiarity: number): Float64Array {
    const { squares, standsOn } = this.at[h]!.errors[familiarity]!
    const power = -(priorCount + standsOn / horizons[h]!) / 2
    let best = squares[0]!
    for (const square of squares) if (square < best) best = square
    const weights = new Float64Array(models)
    let sum = 0
    for (let m = 0; m < models; m++) {
      weights[m] = (squares[m]! / best) ** power
      sum += weights[m]!
    }
    for (let m = 0; m < models; m++) weights[m]! /= sum
    return weights
  }

  /**
   * Mean and standard deviation of the mixture, between two neighbouring horizons.
   *
   * @param part 0..1 of the way
   * @param w, v weights of the models at those
   */
  private mixture(
    values: Float64Array,
    familiarity: number,
    a: number,
    b: number,
    part: number,
    w: Float64Array,
    v: Float64Array,
  ): { mean: number; spread: number } {
    const [before, after] = [this.at[a]!.errors[familiarity]!, this.at[b]!.errors[familiarity]!]
    let mean = 0
    for (let m = 0; m < models; m++) mean += (w[m]! + part * (v[m]! - w[m]!)) * values[m]!
    let variance = 0
    for (let m = 0; m < models; m++) {
      const weight = w[m]! + part * (v[m]! - w[m]!)
      const square = before.squares[m]! + part * (after.squares[m]! - before.squares[m]!)
      variance += weight * (square + (values[m]! - mean) ** 2)
    }
    return { mean, spread: Math.sqrt(variance) * (before.width + part * (after.width - before.width)) }
  }

  /** Whether its usual day is known, and forecasts of a day have been compared with what came. */
  get hasLearned(): boolean {
    return this.at[0]!.errors.reduce((sum, { count }) => sum + count, 0) >= slotsOfDay
  }

  /**
   * Where the node is heading.
   *
   * @param value °C now
   * @param slots of the usual day, now and at every `courseStep` from now
   * @param held how it settles, for a body whose surroundings are known
   */
  course(value: number, slots: ArrayLike<number>, held: HeldSettling | null): CourseAhead {
    const change = new Float64Array(slots.length)
    const spread = new Float64Array(slots.length)
    const weights = horizons.map((_, h) => familiar.map((_, f) => this.weights(h, f)))
    let h = 0
    for (let k = 1; k < slots.length; k++) {
      while (h < horizons.length - 1 && horizons[h + 1]! <= k) h++
      const next = Math.min(h + 1, horizons.length - 1)
      const part = next === h ? 0 : (k - horizons[h]!) / (horizons[next]! - horizons[h]!)
      const values = this.modelsAt(value, slots[0]!, slots[k]!, k * courseStep, held)
      const f = this.familiarity(slots[0]!, slots[k]!)
      const found = this.mixture(values, f, h, next, Math.max(0, part), weights[h]![f]!, weights[next]![f]!)
      change[k] = found.mean - value
      spread[k] = found.spread
    }
    return { change, spread }
  }
}
