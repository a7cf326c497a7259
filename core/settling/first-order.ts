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
