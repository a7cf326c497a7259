import { temperatureAfter } from './first-order.js'

/**
 * What a node would read if it followed its surroundings alone, with a time constant and a usual excess: drawn beside
 * its readings it shows the fit, and where they part, the node's own heat.
 *
 * @param times        ms, ascending
 * @param surroundings °C at those times; NaN where nothing is known, after which the node is taken up again
 * @param node         °C at those times; used only where the prediction begins
 * @param timeConstant s
 * @param fastShare    0..1; part of the reading that follows the surroundings at once
 * @param steadyExcess K
 * @returns °C, NaN until something is known
 */
export const followedAlone = (
  times: ArrayLike<number>,
  surroundings: ArrayLike<number>,
  node: ArrayLike<number>,
  timeConstant: number,
  fastShare: number,
  steadyExcess: number,
): Float64Array => {
  const predicted = new Float64Array(times.length).fill(Number.NaN)
  let body = Number.NaN
  for (let i = 0; i < times.length; i++) {
    const target = surroundings[i]! + steadyExcess
    if (Number.isNaN(target)) {
      body = Number.NaN
      continue
    }
    if (Number.isNaN(body)) {
      if (Number.isNaN(node[i]!)) continue
      body = (node[i]! - fastShare * target) / (1 - fastShare)
    } else {
      const before = surroundings[i - 1]! + steadyExcess
      body = temperatureAfter(body, (before + target) / 2, timeConstant, (times[i]! - times[i - 1]!) / 1000)
    }
    predicted[i] = fastShare * target + (1 - fastShare) * body
  }
  return predicted
}
