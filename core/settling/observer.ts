/**
 * Follows one node: its temperature, and the steady excess it is heading for above what it follows.
 *
 * A Kalman filter on dT/dt = (T_air + q − T)/τ with q a random walk. It needs only readings and the configured time
 * constant; a node heated by its own spindle shows itself as a growing q, and the filter's own covariance says how sure
 * that is. A single reading far from the prediction is held back; when the next one confirms it, or when readings lie on
 * one side of the prediction for long, the excess is freed to move quickly.
 *
 * @see Gelb, A. (ed.) (1974), Applied Optimal Estimation, chapter 4
 * @see Page, E. S. (1954), Biometrika 41, 100 (cumulative-sum test)
 */

/** What is known of a node at a moment. */
export interface NodeEstimate {
  /** ms */
  at: number
  /** °C */
  temperature: number
  /** K; steady excess above what it follows */
  excess: number
  /** K²; covariance matrix of temperature and excess: variance of the one, covariance, variance of the other */
  varTemperature: number
  covariance: number
  varExcess: number
  /** ms; when following began, or began anew after a gap */
  since: number
  /** K; how far the last reading was off if that awaits confirmation, else null */
  outlier: number | null
  /** cumulative sums of what readings lay above and below the prediction, in standard deviations less an allowance */
  above: number
  below: number
}

/** K, standard; how uncertain the distance is that a node has still to go: its balance less its temperature. */
export const steadyUncertainty = ({ varTemperature, covariance, varExcess }: NodeEstimate): number =>
  Math.sqrt(Math.max(0, varExcess + varTemperature - 2 * covariance))

/** What is taken for granted of a node while it is followed. */
export interface ObserverSettings {
  /** s */
  timeConstant: number
  /** K, prior of the excess */
  steadyExcess: number
  /** K; standard deviation of a reading about the node (noise and resolution) */
  noise: number
  /** K; how far the excess ordinarily wanders in an hour */
  wander: number
}

/** K, standard; how far the prior of the excess may be wrong. Judgement, no source */
const priorExcess = 2
/** K per square root of a second; what the model misses, 0.02 K in an hour. Judgement, no source */
const temperatureWalk = 0.02 / Math.sqrt(3600)
/** K, standard; how far the excess may be wrong once readings lie steadily on one side of the prediction. Judgement */
const renewedExcess = 0.5
/** K, standard; how far it may be wrong once two readings in a row jumped to one side. Judgement, no source */
const jumpedExcess = 2
/** standard deviations; a reading further from the prediction may be an outlier. Judgement, no source */
const gate = 3.5
/**
 * standard deviations; what each reading may be off in the cumulative-sum test (Page 1954): lasting shifts of twice
 * that are noticed
 */
const allowance = 0.5
/** standard deviations; the sum at which a shift counts as lasting */
const decision = 6

/**
 * Begins to follow a node at its first reading. Of its own heat nothing is known yet but what is usual for it.
 *
 * @param at ms
 * @param reading °C
 * @returns the estimate from which `predict` and `correct` go on
 */
export const startFollowing = (at: number, reading: number, settings: ObserverSettings): NodeEstimate => ({
  at,
  temperature: reading,
  excess: settings.steadyExcess,
  varTemperature: settings.noise ** 2,
  covariance: 0,
  varExcess: priorExcess ** 2,
  since: at,
  outlier: null,
  above: 0,
  below: 0,
})

/**
 * Carries an estimate forward in time: the node approaches what it follows, and what is known of it gets less sure.
 *
 * @param estimate so far
 * @param surroundings temperature of what the node follows since the estimate, °C
 * @param at ms, not before the estimate
 */
export const predict = (
  estimate: NodeEstimate,
  surroundings: number,
  at: number,
  { timeConstant, wander }: ObserverSettings,
): NodeEstimate => {
  const dt = (at - estimate.at) / 1000
  if (dt <= 0) return estimate
  const a = Math.exp(-dt / timeConstant)
  const b = 1 - a
  const { varTemperature: p, covariance: c, varExcess: q } = estimate
  return {
    ...estimate,
    at,
    temperature: surroundings + estimate.excess + (estimate.temperature - surroundings - estimate.excess) * a,
    varTemperature: a * a * p + 2 * a * b * c + b * b * q + temperatureWalk ** 2 * dt,
    covariance: a * c + b * q,
    varExcess: q + (wander ** 2 * dt) / 3600,
  }
}

/** The same estimate, less sure of itself: free to follow something new. */
const renewed = (estimate: NodeEstimate, innovation: number, excess: number): NodeEstimate => ({
  ...estimate,
  varTemperature: estimate.varTemperature + innovation ** 2,
  varExcess: Math.max(estimate.varExcess, excess ** 2),
  above: 0,
  below: 0,
})

/**
 * Takes a reading into an estimate, each weighted by how sure it is. One reading far off changes nothing until the next
 * confirms it; a lasting shift makes the own heat uncertain again, so that it is learned anew.
 *
 * @param reading °C at the moment of the estimate
 */
export const correct = (estimate: NodeEstimate, reading: number, settings: ObserverSettings): NodeEstimate => {
  const innovation = reading - estimate.temperature
  const spread = estimate.varTemperature + settings.noise ** 2
  let before = estimate
  if (innovation ** 2 > gate ** 2 * spread) {
    const confirmed = estimate.outlier !== null && Math.sign(estimate.outlier) === Math.sign(innovation)
    if (!confirmed) return { ...estimate, outlier: innovation }
    // two in a row on the same side: something new warms or cools the node, or its mass moved faster than one body can
    before = renewed(estimate, innovation, jumpedExcess)
  }
  const deviation = innovation / Math.sqrt(spread)
  before = {
    ...before,
    above: Math.max(0, before.above + deviation - allowance),
    below: Math.max(0, before.below - deviation - allowance),
  }
  if (before.above > decision || before.below > decision) before = renewed(before, innovation, renewedExcess)
  const { varTemperature: p, covariance: c, varExcess: q } = before
  const total = p + settings.noise ** 2
  const gainT = p / total
  const gainQ = c / total
  return {
    ...before,
    temperature: before.temperature + gainT * innovation,
    excess: before.excess + gainQ * innovation,
    varTemperature: (1 - gainT) * p,
    covariance: (1 - gainT) * c,
    varExcess: q - gainQ * c,
    outlier: null,
  }
}
