import {
  type CommonTemperature,
  commonTemperature,
  type SensorSeries,
  stepOf,
} from '../../../core/calibration/index.js'
import type { Sensor } from '../../../core/shop.js'
import { faultCode } from '../../../core/trust/index.js'
import type { Span } from '../../history/span.js'
import { Refused } from '../../http/refused.js'
import type { SeriesPoint, Store } from '../../store/store.js'

/** parts the period is cut into, and points asked for: enough of them in each part */
const blocks = 12
const points = 20 * blocks
/** K; within one stored minute a sensor that moved so far had a bad reading in it */
const leap = 5
/** ms; what a sensor's readings over the period do not tell of their step, those of so long before may */
const before = 30 * 86_400_000

/** What is stored of a sensor over a span, without readings that are a device's fault codes. */
const goodPoints = (store: Pick<Store, 'series'>, sensor: Sensor, { from, to }: Span): SeriesPoint[] =>
  store
    .series(sensor.id, from, to, points)
    .points.filter(({ mean, min, max }) => max - min <= leap && !faultCode(mean, null))

/** K; lowest and highest are readings as they came, whatever the level. 0 when they are all the same */
const stepIn = (stored: readonly SeriesPoint[]): number => stepOf(stored.flatMap(({ min, max }) => [min, max]))

/** The same with the offset applied, and the step of its readings: as the shop file says, else as they show it. */
const storedSeries = (store: Pick<Store, 'series'>, sensor: Sensor, span: Span): SensorSeries => {
  const good = goodPoints(store, sensor, span)
  const shown = () => stepIn(good) || stepIn(goodPoints(store, sensor, { from: span.to - before, to: span.to }))
  return {
    times: good.map(({ at }) => at),
    values: good.map(({ mean }) => mean + sensor.offset),
    step: sensor.resolution ?? shown(),
  }
}

/** @throws Refused 400 when too few of the sensors have readings throughout the span */
export const checkTogether = (
  store: Pick<Store, 'series'>,
  sensors: readonly Sensor[],
  span: Span,
): CommonTemperature => {
  const series = sensors.map(sensor => storedSeries(store, sensor, span))
  try {
    return commonTemperature(series, span.from, span.to, blocks)
  } catch (error) {
    if (!(error instanceof RangeError)) throw error
    throw new Refused(
      400,
      `These sensors cannot be compared: ${error.message}.`,
      'query "sensors", "from" and "to"',
      'Choose three sensors at least that reported all the time, or another period.',
    )
  }
}
