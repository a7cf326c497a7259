import { type Draw, drawing } from '../statistics/drawing.js'
import { normalQuantile } from '../statistics/index.js'
import type { HeatFindingAnswer, ToldFigure } from './answer.js'
import { blockIntervals, memoryOf } from './resampling.js'
import { centred, type PredictedPart, type Sums, shareOf, slopeOf, sumsOf } from './share-explained.js'

/** probability of the intervals */
const coverage = 0.9
/** drawings for an interval */
const rounds = 999
/** neighbours; a longer memory is not looked for */
const longestMemory = 1000
/**
 * How far a prediction is to be trusted by itself. m/m, standard: what heat does is physics' 1 times the prediction, give or
 * take; and of each part's standard uncertainty, so much is another at another time, while the rest (calibration, where a
 * sensor sits) is the same for all parts and cancels. Judgement, from shops used in development; no source
 */
const trusted = { slope: 0.2, changing: 0.2 }

/** Standard deviation of all there are (divided by n), in the unit of the values; 0 for none. */
export const spread = (values: ArrayLike<number>): number => {
  let [mean, squares] = [0, 0]
  for (let i = 0; i < values.length; i++) mean += values[i]! / values.length
  for (let i = 0; i < values.length; i++) squares += (values[i]! - mean) ** 2 / values.length
  return Math.sqrt(squares)
}

const figure = (value: number, { low, high }: { low: number; high: number }): ToldFigure | null =>
  Number.isFinite(value)
    ? { value, low: Number.isFinite(low) ? low : null, high: Number.isFinite(high) ? high : null }
    : null

/** How many neighbours in time go with each other, 1 or more. */
export const blockOf = (parts: readonly PredictedPart[]): number => {
  const most = Math.min(longestMemory, Math.max(1, Math.floor(parts.length / 3)))
  const memory = (of: (part: PredictedPart) => number) => memoryOf(parts.map(of), most)
  return Math.max(
    memory(({ deviation }) => deviation),
    memory(({ predicted }) => predicted),
  )
}

const fine = 2 ** 20
const normal = (draw: Draw): number => normalQuantile((draw(fine) + 0.5) / fine)

/** m²; what of the predictions' uncertainty is another from part to part */
const changing = (parts: readonly PredictedPart[]): number =>
  parts.reduce((sum, { uncertainty = 0 }) => sum + (trusted.changing * uncertainty) ** 2, 0) / parts.length

/**
 * Share and slope of parts, with their intervals.
 *
 * The share that heat explains is not taken by the prediction as it stands: one that is a third too large would count
 * against heat. Two things are known of the slope, that physics expects 1 and what the parts show; each counts by how sure
 * it is (inverse variances). The interval draws parts in blocks, the slope by what is known of it, and the error of the
 * prediction that changes from part to part, which would otherwise count as not explained.
 *
 * @param block see `blockOf`
 */
export const figuresOf = (
  parts: readonly PredictedPart[],
  block: number,
): Pick<HeatFindingAnswer, 'explained' | 'asPredicted' | 'slope' | 'scatter' | 'movement' | 'left'> => {
  const pairs = centred(parts)
  const all = sumsOf(pairs)
  const drawn = (statistic: (sums: Sums) => number) =>
    blockIntervals(pairs, [statistic], block, coverage, rounds, drawing(4711))[0]!
  const slopes = drawn(slopeOf)
  const found = slopeOf(all)
  const variance = ((slopes.high - slopes.low) / (2 * normalQuantile((1 + coverage) / 2))) ** 2
  const toParts =
    Number.isFinite(found) && Number.isFinite(variance) ? trusted.slope ** 2 / (trusted.slope ** 2 + variance) : 0
  const taken = (shown: number, expected: number) =>
    toParts > 0 && Number.isFinite(shown) ? toParts * shown + (1 - toParts) * expected : expected
  const own = changing(parts)
  const draw = drawing(1147)
  const shares = drawn(sums =>
    shareOf(sums, taken(slopeOf(sums), 1 + trusted.slope * normal(draw)), own * normal(draw) ** 2),
  )
  const asPredicted = shareOf(all)
  return {
    explained: figure(shareOf(all, taken(found, 1)), shares),
    asPredicted: Number.isFinite(asPredicted) ? asPredicted : null,
    slope: figure(found, slopes),
    scatter: spread(parts.map(({ deviation }) => deviation)),
    movement: spread(parts.map(({ predicted }) => predicted)),
    left: spread(parts.map(({ deviation, predicted }) => deviation - predicted)),
  }
}
