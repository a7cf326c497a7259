import { highest, lowest, mean, median } from '../statistics/index.js'
import { blockMeans, type SensorSeries } from './block-means.js'

/** A sensor that was said to lie with others, and moved with its own machine instead. */
interface StillMounted {
  /** index of the sensor among those that were said to be together */
  sensor: number
  /** index, among the other sensors of its machine, of the one it moved with most */
  beside: number
  /** K; how far it moved against those it was said to be with */
  moved: number
  /** with the movement of the one beside, 0.8..1 */
  correlation: number
}

// Judgements, no source; on simulated days none in a box or bath was found to be mounted, and three of four sets left on
// two machines were (`tests/server/studies/calibration`).
/** part of a sensor's step; a movement smaller than that may be rounding */
const partOfStep = 1 / 4
/** K; a smaller movement may be an eddy of the bath */
const leastMovement = 0.01
/** −1..1; a lower correlation with the sensor beside it is chance */
const leastCorrelation = 0.8
/** K/K; a sensor that moves by a smaller part of what the one beside it does is not on its machine */
const leastSlope = 0.4

/** Values less their mean. */
const movement = (values: readonly number[]): number[] => {
  const middle = mean(values)
  return values.map(value => value - middle)
}
const product = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((sum, each, i) => sum + each * b[i]!, 0) / a.length

/**
 * Which sensors, said to be at one temperature together, were not taken off their machines.
 *
 * Those in one box move alike, whatever it does: what one moves against the median movement of the others is noise. Where
 * it is more than that, and another sensor of the sensor's own machine moved just so, it is still there. Levels tell
 * nothing, for offsets are what the check looks for. Where the machine moved as the box did, or not at all, nothing is
 * found.
 *
 * @param together the sensors that were said to be together, with their steps (K)
 * @param machines for each of them the other sensors of its machine; none for one that is on no machine
 * @param from start of the period, ms
 * @param to   end of it, ms
 * @param blocks in how many parts to cut it
 */
export const stillMounted = (
  together: readonly (SensorSeries & { step: number })[],
  machines: readonly (readonly SensorSeries[])[],
  from: number,
  to: number,
  blocks = 12,
): StillMounted[] => {
  const known = new Map<SensorSeries, number[] | null>()
  const moves = (series: SensorSeries): number[] | null => {
    if (!known.has(series)) {
      const means = blockMeans(series, from, to, blocks)
      known.set(series, means && movement(means))
    }
    return known.get(series)!
  }
  return together.flatMap((own, sensor) => {
    const others = together.filter(each => each !== own).flatMap(each => (moves(each) ? [moves(each)!] : []))
    const its = moves(own)
    if (!its || others.length < 2) return []
    const common = its.map((_, block) => median(others.map(each => each[block]!)))
    const against = (values: readonly number[]) => movement(values.map((value, block) => value - common[block]!))
    const apart = against(its)
    const least = Math.max(leastMovement, partOfStep * own.step) ** 2
    const size = product(apart, apart)
    if (size <= least) return []
    const likest = machines[sensor]!.reduce<StillMounted | null>((best, series, beside) => {
      const values = moves(series)
      const other = values ? against(values) : []
      const otherSize = product(other, other)
      if (!(otherSize > least)) return best
      const alike = product(apart, other)
      const correlation = alike / Math.sqrt(size * otherSize)
      if (alike / otherSize < leastSlope || correlation < Math.max(leastCorrelation, best?.correlation ?? 0))
        return best
      return { sensor, beside, moved: highest(apart) - lowest(apart), correlation }
    }, null)
    return likest ? [likest] : []
  })
}
