/**
 * Deflection of a column that is warmer on one side: a beam with a temperature difference through its depth.
 *
 * @param alpha 1/K
 * @param difference front minus rear, K
 * @param height where the deflection is wanted, m above the foot
 * @param depth front to rear, m
 * @returns deflection at `height`, m, away from the warm side
 * @see Roark's Formulas for Stress and Strain, beams with a temperature difference through the thickness
 */
export const columnDeflection = (alpha: number, difference: number, height: number, depth: number): number =>
  (alpha * difference * height * height) / (2 * depth)

/**
 * How far a column that is warmer on one side leans, at a height: the slope of `columnDeflection` there.
 *
 * @param alpha 1/K
 * @param difference front minus rear, K
 * @param height m above the foot
 * @param depth front to rear, m
 * @returns slope, m/m, away from the warm side
 * @see Roark's Formulas for Stress and Strain, beams with a temperature difference through the thickness
 */
export const columnSlope = (alpha: number, difference: number, height: number, depth: number): number =>
  (alpha * difference * height) / depth
