/**
 * Thermal error index: the part of a tolerance eaten by heat.
 *
 * @param error nominal thermal error, m; its sign does not matter
 * @param uncertainty expanded uncertainty of it, m
 * @param tolerance width of the tolerance zone, m
 * @returns percent
 * @see ASME B89.6.2 (idea and name)
 */
export const thermalErrorIndex = (error: number, uncertainty: number, tolerance: number): number =>
  (100 * (Math.abs(error) + uncertainty)) / tolerance
