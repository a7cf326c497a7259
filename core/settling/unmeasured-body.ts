import { type OpenLoop, type OpenLoopSettings, predictOpenLoop, startOpenLoop } from './open-loop.js'

/** A body with a sensor of the same machine, which follows the same air or coolant. */
export interface MeasuredBody {
  id: string
  /** °C */
  temperature: number
  /** s */
  timeConstant: number
  /** K; standard uncertainty that its sensor stands for it */
  placement: number
}

/** How a body without a sensor is taken to follow its surroundings. */
export interface UnmeasuredSettings extends OpenLoopSettings {
  /** K; standard uncertainty that the sensor of what it follows stands for that: all that follow it seem to stay off alike */
  surroundingsPlacement: number
}

/** What is known of a body that no sensor is on. */
interface UnmeasuredEstimate {
  /** °C */
  temperature: number
  /** K; how far it is taken to stay from where it would be if it only followed its surroundings */
  departure: number
  /** K, standard; of the temperature */
  uncertainty: number
  /** K, standard; of the distance it has still to go: what lets it depart may change */
  steadyUncertainty: number
}

/** K; what keeps a body from following its surroundings alone, where nothing is known of the others. Our judgement */
const usualDeparture = 0.4
/** and as how many measured bodies of the same time constant that counts. Judgement */
const priorBodies = 0.5
/** K; how far from its surroundings a body may be when its prediction begins there; our judgement */
const startSpread = 1.3
/** K, standard; what heat at rest lets a body stay off for good. Judgement */
const restDeparture = 0.2
/** K, standard; no body without a sensor is known better. Judgement */
const leastUncertainty = 0.1
/** time constants; after so many it no longer matters where a body was taken to be at first. Judgement */
const forgotten = 2
/** s; how often the others are compared with what follows from the surroundings */
const compareEvery = 300
/** s; over how long it is learned how measured bodies usually depart; and for how long one must have been compared to count fully */
const usually = 2 * 86_400
const counts = 6 * 3600

/** A measured body beside what it would be if it only followed its surroundings. */
interface Beside {
  loop: OpenLoop
  timeConstant: number
  placement: number
  /** s; how long it has been compared */
  compared: number
  /** K; mean departure, which its sensor's place and its heat at rest have in it */
  mean: number
  /** K; how far it departs beyond that now; NaN while it tells nothing */
  moved: number
  /** K²; mean square of that */
  square: number
}

/**
 * The temperature of a body that no sensor is on: it follows its surroundings with its own time constant, and departs
 * from that as the measured bodies of its machine depart from theirs.
 *
 * What moves them (the machine's work, draughts, the sun) is taken to bring each as much heat for its surface; so that
 * what shows in one within a day shows in another as the inverse of its time constant. A departure so scaled is one that
 * all share plus one of each body's own; both variances are learned (components of variance, balanced one-way layout),
 * and the share that is believed is that of the best linear prediction; likewise of what all stay off for good because the
 * sensor of what they follow is not quite at its place. What the measured bodies keep to themselves beyond what the
 * places of their sensors explain is what this one may depart by, too: bodies of a like time constant tell most.
 *
 * @see Robinson, G. K. (1991), That BLUP is a good thing: the estimation of random effects, Statistical Science 6, 15
 */
export class UnmeasuredBody {
  private own: OpenLoop | null = null
  private readonly beside = new Map<string, Beside>()
  /** K²; mean product of what two of them depart by, so scaled */
  private shared = 0
  /** s; over which that was learned */
  private learned = 0
  private compared = Number.NaN

  /** ms; null before anything was known */
  get at(): number | null {
    return this.own?.at ?? null
  }

  /** What was told of late was wrong: its prediction begins anew. */
  forget(): void {
    this.own = null
    this.beside.clear()
    this.shared = 0
    this.learned = 0
    this.compared = Number.NaN
  }

  /** What it follows was all along so many K warmer than its readings said, and so was it. */
  shift(change: number): void {
    const shifted = (loop: OpenLoop) => ({ ...loop, temperature: loop.temperature + change })
    if (this.own) this.own = shifted(this.own)
    for (const each of this.beside.values()) {
      each.loop = shifted(each.loop)
      each.mean -= change
    }
  }

  /** Readings of a measured body were all too low by so many K. */
  shiftBeside(id: string, change: number): void {
    const each = this.beside.get(id)
    if (each) each.mean += change
  }

  /**
   * Carries the prediction on.
   *
   * @param at ms; a moment before the prediction changes nothing
   * @param surroundings °C; what it followed since
   * @param measured what is known at that moment of bodies that follow the same; null: nothing is said of them
   */
  follow(
    at: number,
    surroundings: number,
    measured: readonly MeasuredBody[] | null,
    settings: UnmeasuredSettings,
  ): void {
    if (this.own && at < this.own.at) return
    this.own = this.own
      ? predictOpenLoop(this.own, surroundings, at, settings)
      : startOpenLoop(at, surroundings, settings)
    for (const each of this.beside.values())
      each.loop = predictOpenLoop(each.loop, surroundings, at, { timeConstant: each.timeConstant, steadyExcess: 0 })
    if (!measured || at - this.compared < 1000 * compareEvery) return
    this.compare(at, surroundings, measured, settings.timeConstant)
  }

  private compare(at: number, surroundings: number, measured: readonly MeasuredBody[], timeConstant: number): void {
    const elapsed = Number.isNaN(this.compared) ? 0 : (at - this.compared) / 1000
    this.compared = at
    for (const each of this.beside.values()) each.moved = Number.NaN
    let [sum, squares, weights, weightSquares] = [0, 0, 0, 0]
    for (const body of measured) {
      const each = this.beside.get(body.id) ?? besideNow(at, surroundings, body)
      this.beside.set(body.id, each)
      each.timeConstant = body.timeConstant
      each.placement = body.placement
      // where it began must be forgotten before it tells what it follows
      if (at - each.loop.since < forgotten * 1000 * body.timeConstant) continue
      const departure = body.temperature - each.loop.temperature
      each.compared += elapsed
      const part = each.compared > 0 ? Math.min(1, elapsed / Math.min(each.compared, usually)) : 0
      each.mean += part * (departure - each.mean)
      each.moved = (departure - each.mean) * (body.timeConstant / timeConstant)
      each.square += part * (each.moved ** 2 - each.square)
      const weight = likeness(body.timeConstant, timeConstant)
      sum += weight * each.moved
      squares += (weight * each.moved) ** 2
      weights += weight
      weightSquares += weight ** 2
    }
    const pairs = weights ** 2 - weightSquares
    if (!(pairs > 0)) return
    this.learned += elapsed
    if (this.learned > 0)
      this.shared += (elapsed / Math.min(this.learned, usually)) * ((sum ** 2 - squares) / pairs - this.shared)
  }

  /**
   * What is known of it at a moment.
   *
   * @param at ms
   * @param surroundings °C; what it follows since what it was told last
   * @returns null before anything was known
   */
  estimateAt(at: number, surroundings: number, settings: UnmeasuredSettings): UnmeasuredEstimate | null {
    if (!this.own) return null
    const { timeConstant } = settings
    const own = predictOpenLoop(this.own, surroundings, at, settings)
    const moved = this.movedNow(timeConstant)
    const stays = this.staysOff(settings)
    const departure = moved.departure + stays.departure
    const begun = startSpread * Math.exp(-(at - own.since) / 1000 / timeConstant)
    return {
      temperature: own.temperature + departure,
      departure,
      uncertainty: Math.hypot(Math.sqrt(moved.unexplained + stays.unexplained), begun, leastUncertainty),
      steadyUncertainty: Math.sqrt(2 * moved.square),
    }
  }

  /** 0..1; how much a measured body tells, by how alike it is and how long it has been compared. */
  private tells({ timeConstant, compared }: Beside, own: number): number {
    return likeness(timeConstant, own) * (1 - Math.exp(-compared / counts))
  }

  /** What moves it now beyond what it usually is. @returns K; K² that are left unexplained, and all there are */
  private movedNow(timeConstant: number): { departure: number; unexplained: number; square: number } {
    let [sum, weights, weightSquares] = [0, 0, 0]
    let [known, square] = [priorBodies, priorBodies * usualDeparture ** 2]
    for (const each of this.beside.values()) {
      const told = this.tells(each, timeConstant)
      known += told
      square += told * each.square
      if (Number.isNaN(each.moved)) continue
      const weight = likeness(each.timeConstant, timeConstant)
      sum += weight * each.moved
      weights += weight
      weightSquares += weight ** 2
    }
    square /= known
    const shared = Math.min(Math.max(0, this.shared), square)
    const believed = weights > 0 ? believedOf(shared, square - shared, weights, weightSquares) : 0
    return { departure: believed && believed * (sum / weights), unexplained: square - believed * shared, square }
  }

  /** How far it stays off for good, as all do: K, and K² that are left unexplained. */
  private staysOff(settings: UnmeasuredSettings): { departure: number; unexplained: number } {
    const beside = [...this.beside.values()].map(each => ({ ...each, weight: this.tells(each, settings.timeConstant) }))
    const parts = partsOfStaying(beside, settings.surroundingsPlacement)
    const departure = beside.reduce((sum, { mean }, i) => sum + parts[i]! * mean, 0)
    const believed = parts.reduce((sum, part) => sum + part, 0)
    let [known, apart] = [priorBodies, 0]
    for (const { mean, placement, weight } of beside) {
      known += weight
      apart += weight * ((mean - departure) ** 2 - placement ** 2)
    }
    return {
      departure,
      unexplained: settings.surroundingsPlacement ** 2 * (1 - believed) + Math.max(0, apart) / known,
    }
  }
}

/**
 * How far a body without a sensor is taken to stay off for good, of what each measured body does.
 *
 * @param beside what each tells (0..1), and the uncertainty of its sensor's place, K
 * @param surroundingsPlacement K; standard uncertainty of the place of what all follow
 * @returns a part for each; their sum is what is believed of what all share
 */
const partsOfStaying = (
  beside: readonly { weight: number; placement: number }[],
  surroundingsPlacement: number,
): number[] => {
  let [weights, weightSquares, own] = [0, 0, 0]
  for (const { weight, placement } of beside) {
    weights += weight
    weightSquares += weight ** 2
    own += weight * (placement ** 2 + restDeparture ** 2)
  }
  if (!(weights > 0)) return beside.map(() => 0)
  const believed = believedOf(surroundingsPlacement ** 2, own / weights, weights, weightSquares)
  return beside.map(({ weight }) => (believed * weight) / weights)
}

/**
 * How far a body without a sensor moves for each kelvin by which an offset is corrected, once the bodies beside it have
 * been compared for long.
 *
 * @returns K/K; of the sensor of what it follows, and of those on the measured bodies
 */
export const movesWithOffsets = (
  timeConstant: number,
  measured: readonly Pick<MeasuredBody, 'timeConstant' | 'placement'>[],
  surroundingsPlacement: number,
): { surroundings: number; measured: number[] } => {
  const beside = measured.map(each => ({ ...each, weight: likeness(each.timeConstant, timeConstant) }))
  const parts = partsOfStaying(beside, surroundingsPlacement)
  return { surroundings: 1 - parts.reduce((sum, part) => sum + part, 0), measured: parts }
}

/**
 * 0..1; how much of a weighted mean is believed to be what all share.
 *
 * @param shared K²; variance of what they share
 * @param own K²; variance of what each has of its own
 */
const believedOf = (shared: number, own: number, weights: number, weightSquares: number): number =>
  shared > 0 ? shared / (shared + (own * weightSquares) / weights ** 2) : 0

/** 0..1; how much one body tells of another: as much as their time constants are alike */
const likeness = (a: number, b: number): number => Math.min(a / b, b / a)

const besideNow = (at: number, surroundings: number, { timeConstant, placement }: MeasuredBody): Beside => ({
  loop: startOpenLoop(at, surroundings, { timeConstant, steadyExcess: 0 }),
  timeConstant,
  placement,
  compared: 0,
  mean: 0,
  moved: Number.NaN,
  square: 0,
})
