import type { SensorFault } from '../reason.js'
import { beyondHabit, type Habit } from './habit.js'

// The limits in this file are judgement, no source, held against healthy machines and rooms of the test bed.
/** s between two means that are compared */
export const meansSpacing = 300

/**
 * How a sensor's quick movements go with those of the air beside it. A body follows a slow trend of the air as a sensor
 * in the air does, once it lags steadily; so trends are taken out: what is compared is how the change from one
 * mean to the next differs from the change before. Sums of squares and products, K², forgetting slowly.
 */
export interface AirFollowing {
  /** K²; squares of the air's changes */
  air: number
  /** K²; squares of the sensor's own */
  own: number
  /** K²; products of the two */
  both: number
  /** newest changes, K; NaN when not known */
  lastAir: number
  lastOwn: number
}

/** Before anything was compared. */
export const noFollowing: AirFollowing = { air: 0, own: 0, both: 0, lastAir: Number.NaN, lastOwn: Number.NaN }

/** 0..1; part of the sums that is kept at each step: what is so now remembers twenty steps, what is usual two thousand */
export const keptOf = { now: 0.95, usual: 0.9995 }
/** steps that the sums of what is so now remember */
const remembered = 1 / (1 - keptOf.now)

/**
 * Adds what came since the last means were compared.
 *
 * @param own, air change from one mean to the next, K; NaN where one is missing
 * @param kept see `keptOf`
 */
export const compareWithAir = (sums: AirFollowing, own: number, air: number, kept: number): AirFollowing => {
  const last = { lastAir: air, lastOwn: own }
  const a = air - sums.lastAir
  const o = own - sums.lastOwn
  if (Number.isNaN(a + o)) return { ...sums, ...last }
  return {
    air: kept * sums.air + a * a,
    own: kept * sums.own + o * o,
    both: kept * sums.both + o * a,
    ...last,
  }
}

/** The share of the air's change that a body can show within two changes: first order; s, both. */
const bodyShare = (spacing: number, timeConstant: number): number => 1 - Math.exp((-2 * spacing) / timeConstant)

/** K²; of the air's movement, until what is usual is known */
const enough = 0.3
/** K/K; how much more than usual the gain may be at times; the gain beyond which a body is as quick as the air; the most there is */
const gains = { margin: 0.1, quick: 0.6, most: 1.3 }
/** K; the part of a step that noise alone makes */
const noise = 0.02

/** the most evidence that one step gives, and the most that their sum reaches */
const most = { step: 1.5, sum: 36 }

/**
 * One step's evidence that a sensor which should touch a body hangs in the air: how much better its last quick movement
 * goes with a gain near 1 than with what is usual for it, as the logarithm of a likelihood ratio with the scatter of late.
 *
 * @param sum of what came before: a cumulative sum after Page 1954 (Biometrika 41, 100)
 * @param before, now sums of what is so now, without and with this step
 * @param usual of what is usual
 * @param spacing s between two means
 * @param timeConstant of the body, s
 * @param resolution K; of the sensor, 0 when not known
 * @returns the sum; 0 where nothing tells the two apart
 */
export const followingEvidence = (
  sum: number,
  before: AirFollowing,
  now: AirFollowing,
  usual: AirFollowing,
  spacing: number,
  timeConstant: number,
  resolution: number,
): number => {
  const a = now.lastAir - before.lastAir
  const o = now.lastOwn - before.lastOwn
  const onBody = Math.max(bodyShare(spacing, timeConstant), usual.both / usual.air + gains.margin)
  if (usual.air < enough || onBody > gains.quick) return 0
  if (Number.isNaN(a + o)) return sum
  const best = now.both / now.air
  const touching = Math.min(best, onBody)
  const hanging = Math.min(Math.max(best, (1 + onBody) / 2), gains.most)
  const residual = (gain: number) => now.own - 2 * gain * now.both + gain * gain * now.air
  const variance = Math.min(residual(touching), residual(hanging)) / remembered + noise ** 2 + (resolution / 4) ** 2
  const step = ((o - touching * a) ** 2 - (o - hanging * a) ** 2) / (2 * variance)
  return Math.min(most.sum, Math.max(0, sum + Math.max(-most.step, Math.min(most.step, step))))
}

/** sum that is enough: by chance once in e^12 times that it begins to rise, were all else right */
const followingFound = 12

/** evidence that says nothing yet: any healthy sensor may reach it, so its habit grows to it at once */
export const followingFree = 6

/** A sensor that should touch a body but goes along with the air's own quick movements, as it never did. */
export const followsAir = (evidence: number, habit: Habit): SensorFault | null =>
  evidence > beyondHabit(habit, 2, followingFound) && evidence > followingFound ? { kind: 'follows the air' } : null

/** K from the air that a sensor must have stood for its fall to be seen */
const stood = 1.2
/** factor; so much faster than its time constant allows must a step be */
const faster = 3
/** 0..1; part of its step that others beside it may have moved, too: a machine that stops cools as a whole */
const alone = 0.25
/** factor on its quickest change; K that is taken for it while it is not known: a surface cools by that after its work */
const quick = { factor: 1.5, unknown: 2.5 }

/** K; a change that any healthy sensor may show once, so that its habit grows to it at once */
export const quickFree = 1

/** What else is known of a step. */
interface BesideStep {
  /** K; what other bodies of the machine moved meanwhile */
  others: readonly number[]
  /** K; the sensor's largest change within the same time, day by day */
  quickest: Habit
}

/**
 * A step towards the air, faster than the body's time constant allows. The surface of a screw or spindle that is no longer
 * heated cools faster than that as well; but it has done so before, or the others on the machine cool with it.
 *
 * @param before, after of the sensor, °C
 * @param airBefore, airAfter of the air beside it, °C
 * @param elapsed s between the two
 * @param timeConstant of the body, s
 */
export const steppedToAir = (
  before: number,
  after: number,
  airBefore: number,
  airAfter: number,
  elapsed: number,
  timeConstant: number,
  { others, quickest }: BesideStep,
): SensorFault | null => {
  const stoodOff = before - airAfter
  const left = after - airAfter
  if (!(Math.abs(stoodOff) >= stood && Math.abs(airAfter - airBefore) <= 0.4 * Math.abs(stoodOff))) return null
  const possible = faster * (1 - Math.exp(-elapsed / timeConstant))
  const covered = 1 - left / stoodOff
  if (!(covered >= Math.max(0.7, possible) && covered <= 1.4)) return null
  const moved = after - before
  if (Math.abs(moved) <= beyondHabit(quickest, quick.factor, quick.unknown)) return null
  if (others.some(other => Math.sign(other) === Math.sign(moved) && Math.abs(other) > alone * Math.abs(moved)))
    return null
  return { kind: 'stepped to the air', moved: Math.abs(moved), within: elapsed }
}
