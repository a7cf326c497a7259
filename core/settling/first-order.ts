/**
 * First-order approach to an equilibrium: dT/dt = (T_eq − T)/τ (lumped capacitance).
 *
 * @param start temperature now, °C
 * @param equilibrium temperature approached, °C
 * @param timeConstant s; time in which 63.2 % of a step is covered
 * @param elapsed s
 * @returns temperature after `elapsed`, °C
 * @see Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, chapter 5
 */
export const temperatureAfter = (start: number, equilibrium: number, timeConstant: number, elapsed: number): number =>
  equilibrium + (start - equilibrium) * Math.exp(-elapsed / timeConstant)

/**
 * Time until a first-order approach has come within a band around its equilibrium.
 *
 * @param distance present distance from the equilibrium, K
 * @param band wanted distance, K, positive
 * @param timeConstant s
 * @returns s; 0 when already within
 */
export const timeToWithin = (distance: number, band: number, timeConstant: number): number =>
  Math.abs(distance) <= band ? 0 : timeConstant * Math.log(Math.abs(distance) / band)

/**
 * Time constant of a lumped body.
 *
 * @param heatCapacity J/K
 * @param conductance between the body and what surrounds it, W/K
 * @returns s
 */
export const lumpedTimeConstant = (heatCapacity: number, conductance: number): number => heatCapacity / conductance
