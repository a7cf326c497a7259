import type { SlabMode } from '../../../core/soak/modes.js'

/**
 * Difference still to come at a position across a slab, as a part of the step.
 *
 * @param fourier α·t/size²
 * @param place   position: 0 near face, 1 far face
 */
export const leftAt = (modes: readonly SlabMode[], fourier: number, place: number): number =>
  modes.reduce((sum, { zeta, at }) => sum + at(place) * Math.exp(-(zeta ** 2) * fourier), 0)
