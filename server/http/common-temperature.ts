import { type CommonTemperature, commonTemperature, type SensorSeries, stepOf } from '../../core/calibration/index.js'
import type { Sensor } from '../../core/shop.js'
import { faultCode } from '../../core/trust/index.js'
import type { Store } from '../store/store.js'
import { Refused } from './refused.js'
import type { Span } from './span.js'

/** parts the period is cut into, and points asked for: enough of them in each part */
const blocks = 12
const points = 20 * blocks
/** K; within one stored minute a sensor that moved so far had a bad reading in it */
const leap = 5

/** What is stored of a sensor over a span, offset applied, without readings that are a device's fault codes. */
const storedSeries = (store: Pick<Store, 'series'>, sensor: Sensor, { from, to }: Span): SensorSeries => {
  const { points: stored } = store.series(sensor.id, from, to, points)
  const good = stored.filter(({ mean, min, max }) => max - min <= leap && !faultCode(mean, null))
  return {
    times: good.map(({ at }) => at),
    values: good.map(({ mean }) => mean + sensor.offset),
    // lowest and highest are readings as they came, whatever the level
    step: stepOf(good.flatMap(({ min, max }) => [min, max])),
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
