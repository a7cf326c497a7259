/**
 * Free growth of a bar; also how far a place on a screw or scale moves away from its fixed point.
 *
 * @param length at the reference temperature, m; of a place its distance from the fixed point, negative on its other side
 * @param alpha coefficient of linear expansion, 1/K
 * @param rise (mean) temperature above the reference, K (negative when colder)
 * @returns growth, m; of a place away from the fixed point
 * @see ISO 1:2022
 */
export const barGrowth = (length: number, alpha: number, rise: number): number => alpha * length * rise
