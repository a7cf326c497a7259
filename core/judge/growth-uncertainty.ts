import type { LoopAxis } from '../growth/index.js'
import { expansionUncertainty } from './expansion-uncertainty.js'
import type { NodeOutlook } from './outlook.js'

/** K; step of the numerical derivative. The model is piecewise linear, so its size hardly matters. */
export const derivativeStep = 0.01

/**
 * How an axis' growth where the work is held changes with the nodes it depends on, one after the other.
 *
 * @param temperatures °C, in the order of the machine's nodes
 * @returns m/K, in the order of the axis' nodes
 * @see JCGM 100:2008 (GUM), 5.1.3
 */
export const growthSlopes = ({ axis, nodes, growthAt }: LoopAxis, temperatures: ArrayLike<number>): number[] => {
  const t = Float64Array.from(temperatures)
  const growth = growthAt(axis.workAt, t)
  return nodes.map(index => {
    const before = t[index]!
    t[index] = before + derivativeStep
    const slope = (growthAt(axis.workAt, t) - growth) / derivativeStep
    t[index] = before
    return slope
  })
}

/**
 * Standard uncertainty of an axis' growth against the reference temperature, where the work is held: from the calibration
 * and placement of its nodes' sensors, the coefficients of expansion of its elements, and how far a fixed bearing holds
 * its screw (it holds back nothing of a change that has just begun; rectangular distribution, GUM 4.3.7).
 *
 * Inputs are independent (GUM 5.1) except sensors of one batch, whose common offset is fully correlated (GUM 5.2), and the
 * coefficients of one material (`expansionUncertainty`).
 *
 * @param temperatures °C, in the order of the machine's nodes
 * @param nodes what is known of each node, in the same order, K
 * @returns m; NaN where a temperature or a node that the axis depends on is not known
 * @see JCGM 100:2008 (GUM), 5.1 and 5.2
 */
export const growthUncertainty = (
  of: LoopAxis,
  temperatures: ArrayLike<number>,
  nodes: readonly (Pick<NodeOutlook, 'calibration' | 'placement' | 'batch'> | null)[],
): number => {
  const { axis, elements, bearing } = of
  const slopes = growthSlopes(of, temperatures)
  const shared = new Map<string, number>()
  let variance = ((bearing?.heldBack(temperatures) ?? 0) / Math.sqrt(3)) ** 2
  for (const [k, index] of of.nodes.entries()) {
    const node = nodes[index]
    if (!node) return Number.NaN
    const slope = slopes[k]!
    variance += slope ** 2 * (node.calibration ** 2 + node.placement ** 2)
    const { batch } = node
    if (batch) shared.set(batch.name, (shared.get(batch.name) ?? 0) + slope * batch.uncertainty)
  }
  for (const offset of shared.values()) variance += offset ** 2
  variance += expansionUncertainty(elements, element => element.growthAt(axis.workAt, temperatures)) ** 2
  return Math.sqrt(variance)
}
