import type { LoopElement } from '../growth/index.js'

/**
 * Standard uncertainty of an amount that grows with the coefficients of expansion of a loop's elements.
 *
 * One element has one coefficient, whatever it acts on. Those of different materials are independent (GUM 5.1). How
 * strongly the errors of two pieces of one material go together is not known: somewhere between not at all and wholly,
 * as where one value of a table serves both (GUM 5.2 and F.1.2.3). The uncertainty is largest at one of these two ends,
 * so the larger of the two counts.
 *
 * @param elements of the loop on which the amount depends
 * @param share of an element in the amount, m, sign included: what the amount would change by if the element's coefficient
 *   were twice as large
 * @returns m
 * @see JCGM 100:2008 (GUM), 5.1, 5.2 and F.1.2.3
 */
export const expansionUncertainty = (
  elements: readonly LoopElement[],
  share: (element: LoopElement) => number,
): number => {
  const alike = new Map<string, number>()
  const apart = new Map<string, number>()
  for (const element of elements) {
    const { name, alphaUncertainty } = element.material
    const off = share(element) * alphaUncertainty
    alike.set(name, (alike.get(name) ?? 0) + off)
    apart.set(name, (apart.get(name) ?? 0) + off ** 2)
  }
  let variance = 0
  for (const [name, off] of alike) variance += Math.max(off ** 2, apart.get(name)!)
  return Math.sqrt(variance)
}
