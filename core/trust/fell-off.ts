import type { SensorFault } from '../reason.js'

// The limits in this file are judgement, no source, held against the healthy demo shop, in which no sensor may be suspected.
/** s between two means that are compared */
export const meansSpacing = 300

/**
 * How a sensor's quick movements go with those of the air beside it. A body follows a slow trend of the air as a sensor
 * in the air does, once it lags steadily; so trends are taken out: what is compared is how the change from one
 * five-minute mean to the next differs from the change before. Sums of squares and products, K², forgetting slowly.
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

/** of the sums, what is kept at each step: about 50 min are remembered */
const kept = 0.9

/**
 * Adds what came in the last five minutes.
 *
 * @param own, air change from one mean to the next, K; NaN where one is missing
 */
export const compareWithAir = (sums: AirFollowing, own: number, air: number): AirFollowing => {
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

/** K²; less movement of the air tells nothing */
const enough = 0.3
/** share of the sensor's changes that the air's must explain (squared correlation) */
const explained = 0.6

/** The share of the air's change that a body can show within two means: first order, its time constant in s. */
const bodyShare = (timeConstant: number): number => 1 - Math.exp((-2 * meansSpacing) / timeConstant)

/** Whether the air moved enough of late to tell a body from the air. */
export const airMoved = (sums: AirFollowing): boolean => sums.air >= enough

/**
 * A sensor that should touch a body but goes along with the air's own fast movements.
 *
 * @param timeConstant of the body, s
 */
export const followsAir = (sums: AirFollowing, timeConstant: number): SensorFault | null => {
  const share = bodyShare(timeConstant)
  if (!airMoved(sums) || share > 0.6 || sums.own === 0) return null
  const gain = sums.both / sums.air
  if (gain < (1 + share) / 2 || gain > 1.6 || sums.both ** 2 < explained * sums.air * sums.own) return null
  return { kind: 'follows the air' }
}

/** K from the air that a sensor must have stood for its fall to be seen */
const stood = 1.2
/** factor; so much faster than its time constant allows must a step be */
const faster = 3
/** 0..1; part of its step that others beside it may have moved, too: a machine that stops cools as a whole */
const alone = 0.25
/** factor on its quickest change of late: a surface that warms quickly at work cools as quickly after it */
const habit = 1.5

/** What else is known of a step. */
export interface BesideStep {
  /** K; what other bodies of the machine moved meanwhile */
  others: readonly number[]
  /** K; the sensor's largest change within the same time, in the hours before */
  quickest: number
}

/**
 * A step towards the air, faster than the body's time constant allows. The surface of a screw or spindle that is no longer
 * heated cools faster than that as well; but it has warmed as quickly, or the others on the machine cool with it.
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
  { others, quickest }: BesideStep = { others: [], quickest: 0 },
): SensorFault | null => {
  const stoodOff = before - airAfter
  const left = after - airAfter
  if (!(Math.abs(stoodOff) >= stood && Math.abs(airAfter - airBefore) <= 0.4 * Math.abs(stoodOff))) return null
  const possible = faster * (1 - Math.exp(-elapsed / timeConstant))
  const covered = 1 - left / stoodOff
  if (!(covered >= Math.max(0.7, possible) && covered <= 1.4)) return null
  const moved = after - before
  if (Math.abs(moved) <= habit * quickest) return null
  if (others.some(other => Math.sign(other) === Math.sign(moved) && Math.abs(other) > alone * Math.abs(moved)))
    return null
  return { kind: 'stepped to the air', moved: Math.abs(moved), within: elapsed }
}
