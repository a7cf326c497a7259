import { barGrowth } from './bar.js'

/**
 * Displacement of a mark on a linear scale.
 *
 * @param distance of the mark from the scale's fixed point, m; negative on its other side
 * @param alpha of the scale, 1/K
 * @param rise mean temperature of the scale above the reference, K
 * @returns displacement away from the fixed point, m
 * @see `barGrowth`: the free growth of the stretch between the fixed point and the mark
 */
export const scaleGrowth = (distance: number, alpha: number, rise: number): number => barGrowth(distance, alpha, rise)
