import { barGrowth } from './bar.js'
import { heldLength } from './bearing.js'

/**
 * Displacement of the nut on a ball screw with one end fixed, the other free or supported, whose part near the bearing is held
 * at the temperature of what carries the bearing. Without that it is the free growth of the stretch between: `barGrowth`.
 *
 * @param distance of the nut from the fixed bearing, m; negative on its other side
 * @param alpha of the screw, 1/K
 * @param rise of the screw away from the bearing above the reference, K
 * @param bearingRise of what carries the bearing above the reference, K
 * @param length of conduction along the screw, m (`conductionLength`)
 * @returns displacement away from the bearing, m
 */
export const heldScrewGrowth = (
  distance: number,
  alpha: number,
  rise: number,
  bearingRise: number,
  length: number,
): number => barGrowth(distance, alpha, rise) - barGrowth(heldLength(distance, length), alpha, rise - bearingRise)

/**
 * Displacement of the nut on a ball screw fixed at both ends and pretensioned. Until the screw is warmer than the bed by
 * the stretch, its bearings hold it and positions follow the bed; the excess counts as free growth of the screw. Common
 * practice, no source.
 *
 * @param distance of the nut from the first fixed bearing, m
 * @param screwAlpha 1/K
 * @param screwRise mean temperature of the screw above the reference, K
 * @param bedAlpha 1/K
 * @param bedRise temperature of what carries the bearings above the reference, K
 * @param stretch warming of the screw over the bed that uses the pretension up, K
 * @returns displacement, m
 */
export const pretensionedScrewGrowth = (
  distance: number,
  screwAlpha: number,
  screwRise: number,
  bedAlpha: number,
  bedRise: number,
  stretch: number,
): number =>
  barGrowth(distance, bedAlpha, bedRise) +
  barGrowth(distance, screwAlpha, pretensionExcess(screwRise, bedRise, stretch))

/**
 * How much warmer a screw is than its pretension can hold.
 *
 * @param screwRise mean temperature of the screw above the reference, K
 * @param bedRise temperature of what carries the bearings above the reference, K
 * @param stretch warming of the screw over the bed that uses the pretension up, K
 * @returns K; 0 while the pretension holds
 */
export const pretensionExcess = (screwRise: number, bedRise: number, stretch: number): number =>
  Math.max(0, screwRise - bedRise - stretch)
