import { highest, lineSlope, lowest, mean, median, standardDeviation, studentFactor } from '../statistics/index.js'
import { blockMeans, type SensorSeries } from './block-means.js'
import { stepOf } from './step.js'

/** What the check says of one sensor. */
interface SensorOffset {
  /** K; above the median of all when positive; NaN when a block has no reading of it */
  offset: number
  /** K; such that twice it covers 95.45 %; NaN as above */
  standardUncertainty: number
  /** whether the offset is further from zero than twice its uncertainty */
  significant: boolean
  /** K; the step its readings were taken to move in */
  step: number
  /** whether nothing told that step, for its readings never changed, and `unknownStep` was taken */
  stepAssumed: boolean
}

/** What the check says of all sensors, and of the place that they were at together. */
export interface CommonTemperature {
  /** in the order given */
  sensors: SensorOffset[]
  /** K per hour; slope of the median over the period */
  drift: number
  /** K; highest less lowest median of a block */
  swing: number
  /** whether drift and swing are within the limits */
  still: boolean
}

/** sensors; with fewer a median says little. Judgement, no source */
const leastSensors = 3
/** blocks; with fewer a spread says little. Judgement, no source */
const leastBlocks = 6
/**
 * A period counts as still up to a drift of so many K per hour and a swing of so many K; beyond it sensors of different
 * lag, or a hand's breadth apart, part company. Judgements, no source.
 */
export const stillLimits = { drift: 0.1, swing: 0.3 } as const

/**
 * K; the step of a sensor whose readings never changed and of which nothing else is known: as coarse as the usual ones
 * come. Judgement, no source; without it such a sensor would look the most certain of all.
 */
export const unknownStep = 0.5

/**
 * Offsets of sensors against their median while all are at one temperature.
 *
 * The period is cut into equal blocks. In each, every sensor's mean is compared with the median of all sensors' means;
 * the offset is the mean of these differences. Readings close in time err alike, so that the spread of single readings
 * would promise too much; means of blocks longer than that memory are nearly independent, and their spread gives the
 * Type A uncertainty. It is widened by Student's factor for so few blocks. To it comes the rounding of the sensor and
 * of the median, a step wide each, which no averaging removes when the temperature stands still.
 *
 * Only the sensors that report in every block enter the median: it must not jump when one comes or goes. A common error
 * of all sensors stays unseen.
 *
 * @param readings of each sensor
 * @param from start of the period, ms
 * @param to   end of it, ms
 * @param blocks in how many parts to cut it, whole, 6 or more
 * @throws RangeError with fewer than three sensors that report in every block, with fewer than six blocks or no whole
 *   number of them, or for a period that ends before it begins
 * @see GUM (JCGM 100:2008) 4.2 (Type A), F.2.2.1 (rounding), G.3 (Student's factor)
 * @see Flyvbjerg & Petersen, Error estimates on averages of correlated data, J. Chem. Phys. 91 (1989) 461
 */
export const commonTemperature = (
  readings: readonly SensorSeries[],
  from: number,
  to: number,
  blocks = 12,
): CommonTemperature => {
  if (!(to > from)) throw new RangeError('the period ends before it begins: give an end after its start')
  if (!(Number.isInteger(blocks) && blocks >= leastBlocks))
    throw new RangeError(`${blocks} blocks: cut the period into a whole number of them, ${leastBlocks} or more`)
  const means = readings.map(each => blockMeans(each, from, to, blocks))
  const told = readings.map(({ step, values }) => step ?? stepOf(values))
  const steps = told.map(step => step || unknownStep)
  const whole = means.flatMap((each, index) => (each ? [index] : []))
  if (whole.length < leastSensors)
    throw new RangeError(
      `${whole.length} sensors report in each of the ${blocks} parts of the period; at least ${leastSensors} are needed: choose more sensors or another period`,
    )

  const middle = Array.from({ length: blocks }, (_, block) => median(whole.map(index => means[index]![block]!)))
  const stepOfMiddle = median(whole.map(index => steps[index]!))
  const hours = middle.map((_, block) => ((block + 0.5) * (to - from)) / blocks / 3_600_000)
  const drift = lineSlope(hours, middle)
  const swing = highest(middle) - lowest(middle)
  const widened = studentFactor(0.9545, blocks - 1) / 2

  const sensors = means.map((own, index): SensorOffset => {
    const stepTaken = { step: steps[index]!, stepAssumed: !told[index] }
    if (!own) return { offset: Number.NaN, standardUncertainty: Number.NaN, significant: false, ...stepTaken }
    const differences = own.map((each, block) => each - middle[block]!)
    const offset = mean(differences)
    const spread = (widened * standardDeviation(differences)) / Math.sqrt(blocks)
    const standardUncertainty = Math.sqrt(spread ** 2 + (steps[index]! ** 2 + stepOfMiddle ** 2) / 12)
    return { offset, standardUncertainty, significant: Math.abs(offset) > 2 * standardUncertainty, ...stepTaken }
  })
  return { sensors, drift, swing, still: Math.abs(drift) <= stillLimits.drift && swing <= stillLimits.swing }
}
