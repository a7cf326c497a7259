import {
  type CommonTemperature,
  commonTemperature,
  type SensorSeries,
  stepOf,
} from '../../../core/calibration/index.js'
import type { Sensor } from '../../../core/shop.js'
import { faultCode } from '../../../core/trust/index.js'
import type { Past, Span } from '../../history/index.js'
import type { SeriesPoint } from '../../store/store.js'

type Readings = Pick<Past['store'], 'series'>

/** parts the period is cut into, and points asked for: enough of them in each part */
const blocks = 12
const points = 20 * blocks
/** K; within one stored minute a sensor that moved so far had a bad reading in it */
const leap = 5
/** ms; what a sensor's readings over the period do not tell of their step, those of so long before may */
const before = 30 * 86_400_000

/** What is stored of a sensor over a span, without readings that are a device's fault codes. */
const goodPoints = async (store: Readings, sensor: Sensor, { from, to }: Span): Promise<SeriesPoint[]> => {
  const series = await store.series(sensor.id, from, to, points)
  return series.points.filter(({ mean, min, max }) => max - min <= leap && !faultCode(mean, null))
}

/** K; lowest and highest are readings as they came, whatever the level. 0 when they are all the same */
const stepIn = (stored: readonly SeriesPoint[]): number => stepOf(stored.flatMap(({ min, max }) => [min, max]))

/** The same with today's offset, and the step of its readings: as the shop file says, else as they show it. */
const storedSeries = async (store: Readings, sensor: Sensor, span: Span): Promise<SensorSeries> => {
  const good = await goodPoints(store, sensor, span)
  const shown = async () =>
    stepIn(good) || stepIn(await goodPoints(store, sensor, { from: span.to - before, to: span.to }))
  return {
    times: good.map(({ at }) => at),
    values: good.map(({ mean }) => mean + sensor.offset),
    step: sensor.resolution ?? (await shown()),
  }
}

/**
 * Compares sensors that were at one temperature together. It asks the sensors themselves: also one that was not believed
 * then is compared, and what is proposed adds to the offset it has today.
 *
 * @throws RangeError when too few of the sensors have readings throughout the span
 */
export const checkTogether = async (
  store: Readings,
  sensors: readonly Sensor[],
  span: Span,
): Promise<CommonTemperature> => {
  const series: SensorSeries[] = []
  for (const sensor of sensors) series.push(await storedSeries(store, sensor, span))
  return commonTemperature(series, span.from, span.to, blocks)
}
