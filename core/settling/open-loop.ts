import { temperatureAfter } from './first-order.js'

/** The temperature of a body that no sensor is on, predicted from what it follows. */
export interface OpenLoop {
  /** ms */
  at: number
  /** ms; when the prediction began */
  since: number
  /** °C */
  temperature: number
}

/** How a body is taken to follow its surroundings. */
export interface OpenLoopSettings {
  /** s */
  timeConstant: number
  /** K; how much it usually stays above what it follows */
  steadyExcess: number
}

/**
 * Begins the prediction of a body without a sensor, where it would be if its surroundings had long been as they are.
 *
 * @param at ms
 * @param surroundings °C
 */
export const startOpenLoop = (at: number, surroundings: number, { steadyExcess }: OpenLoopSettings): OpenLoop => ({
  at,
  since: at,
  temperature: surroundings + steadyExcess,
})

/**
 * Carries a prediction forward in time, first order.
 *
 * @param surroundings temperature of what the body follows since the prediction, °C
 * @param at ms; a moment before the prediction changes nothing
 */
export const predictOpenLoop = (
  before: OpenLoop,
  surroundings: number,
  at: number,
  { timeConstant, steadyExcess }: OpenLoopSettings,
): OpenLoop => {
  const elapsed = (at - before.at) / 1000
  if (!(elapsed > 0)) return before
  return {
    ...before,
    at,
    temperature: temperatureAfter(before.temperature, surroundings + steadyExcess, timeConstant, elapsed),
  }
}
