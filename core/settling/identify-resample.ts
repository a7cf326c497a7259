import type { Evenly } from './identify-model.js'

/** s; gaps of the surroundings up to this are bridged by a straight line */
const longestBridge = 1200

/**
 * Brings readings of a node and of what it follows to even spacing: means over each interval. Gaps of the node stay gaps;
 * short gaps of the surroundings are bridged.
 *
 * @param times   ms, ascending
 * @param spacing s
 * @throws RangeError when lengths differ or times do not ascend
 */
export const evenly = (
  times: ArrayLike<number>,
  node: ArrayLike<number>,
  surroundings: ArrayLike<number>,
  spacing: number,
): Evenly => {
  const n = times.length
  if (node.length !== n || surroundings.length !== n)
    throw new RangeError(
      `times (${n}), node (${node.length}) and surroundings (${surroundings.length}) must have one length`,
    )
  const width = spacing * 1000
  const begin = n > 0 ? Math.floor(times[0]! / width) : 0
  const length = n > 0 ? Math.floor(times[n - 1]! / width) - begin + 1 : 0
  const mean = (values: ArrayLike<number>): Float64Array => {
    const sums = new Float64Array(length)
    const counts = new Uint32Array(length)
    for (let i = 0; i < n; i++) {
      if (i > 0 && times[i]! < times[i - 1]!)
        throw new RangeError(`times must ascend: value ${i} lies before the one in front of it`)
      if (!Number.isFinite(values[i]!)) continue
      const at = Math.floor(times[i]! / width) - begin
      sums[at]! += values[i]!
      counts[at]!++
    }
    return sums.map((sum, i) => (counts[i] ? sum / counts[i]! : Number.NaN))
  }
  const air = mean(surroundings)
  bridge(air, Math.floor(longestBridge / spacing))
  return { spacing, node: mean(node), air, restlessness: new Float64Array(length).fill(1) }
}

/** Fills gaps of up to `most` values by straight lines, in place. */
const bridge = (values: Float64Array, most: number): void => {
  let last = -1
  for (let i = 0; i < values.length; i++) {
    if (Number.isNaN(values[i]!)) continue
    const gap = i - last - 1
    if (last >= 0 && gap > 0 && gap <= most)
      for (let k = 1; k <= gap; k++) values[last + k] = values[last]! + (k / (gap + 1)) * (values[i]! - values[last]!)
    last = i
  }
}

/** How many values have both temperatures (each stands for the spacing, s). */
export const stretches = ({ node, air }: Evenly): number =>
  node.reduce((count, value, i) => count + (Number.isNaN(value) || Number.isNaN(air[i]!) ? 0 : 1), 0)

/**
 * The same moving average over both temperatures; of the node only values that do not overlap are kept, so that their
 * errors stay independent.
 *
 * @param width values averaged; 1 leaves all as it is
 * @see Ljung, L. (1999), System Identification, 2nd ed., 14.4 (prefilters)
 */
export const averaged = ({ spacing, node, air, restlessness }: Evenly, width: number): Evenly => {
  const over = (values: Float64Array, i: number): number => {
    if (i < width - 1) return Number.NaN
    let sum = 0
    for (let k = 0; k < width; k++) sum += values[i - k]!
    return sum / width
  }
  return {
    spacing,
    air: air.map((_, i) => over(air, i)),
    node: node.map((_, i) => ((i + 1) % width === 0 ? over(node, i) : Number.NaN)),
    restlessness: restlessness.slice(),
  }
}
