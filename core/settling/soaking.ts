import { temperatureAfter } from './first-order.js'

/** A workpiece on its way to the temperature of what surrounds it. */
export interface Soaking {
  /** ms */
  at: number
  /** °C */
  temperature: number
  /** K; derivative of the temperature with respect to the logarithm of the time constant: negative while it warms */
  slope: number
}

/**
 * A first-order body carried on in surroundings that stay as they are, and how much its temperature depends on its time
 * constant: d/dlnτ of T + (A − T)(1 − e^(−h/τ)). Surroundings that swing faster than the body can follow leave it
 * almost independent; a lasting step makes it depend by up to 0.37 of the step after one time constant.
 *
 * @param surroundings °C
 * @param timeConstant s; 0 or less: it follows at once
 * @param elapsed s
 */
export const soak = (
  { at, temperature, slope }: Soaking,
  surroundings: number,
  timeConstant: number,
  elapsed: number,
): Soaking => {
  const later = at + elapsed * 1000
  if (timeConstant <= 0) return { at: later, temperature: surroundings, slope: 0 }
  const passed = elapsed / timeConstant
  return {
    at: later,
    temperature: temperatureAfter(temperature, surroundings, timeConstant, elapsed),
    slope: (slope - (surroundings - temperature) * passed) * Math.exp(-passed),
  }
}

/** relative standard uncertainty of a part's time constant; common practice, no source */
export const soakingUncertainty = 1 / 3
