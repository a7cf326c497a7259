/**
 * Free growth of a bar.
 *
 * @param length at the reference temperature, m
 * @param alpha coefficient of linear expansion, 1/K
 * @param rise temperature above the reference, K (negative when colder)
 * @returns growth, m
 * @see ISO 1:2022
 */
export const barGrowth = (length: number, alpha: number, rise: number): number => alpha * length * rise
