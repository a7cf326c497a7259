/**
 * Size error at the reference temperature of a feature that was cut with machine and part at other temperatures.
 *
 * @param length of the feature, m
 * @param machineGrowth growth of what measures the position, m per m of travel
 * @param partAlpha 1/K
 * @param partRise temperature of the part above the reference, K
 * @returns size error, m; positive = the feature comes out longer
 * @see ISO 1:2022 (a size holds at the reference temperature)
 */
export const sizeError = (length: number, machineGrowth: number, partAlpha: number, partRise: number): number =>
  length * (machineGrowth - partAlpha * partRise)
