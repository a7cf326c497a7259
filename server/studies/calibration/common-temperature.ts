import {
  type CommonTemperature,
  commonTemperature,
  type SensorSeries,
  stepOf,
  stillMounted,
} from '../../../core/calibration/index.js'
import type { Sensor, Shop } from '../../../core/shop.js'
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

const seriesOf = (good: readonly SeriesPoint[], offset = 0): SensorSeries => ({
  times: good.map(({ at }) => at),
  values: good.map(({ mean }) => mean + offset),
})

/** The same with today's offset, and the step of its readings: as the shop file says, else as they show it. */
const storedSeries = async (store: Readings, sensor: Sensor, span: Span): Promise<SensorSeries & { step: number }> => {
  const good = await goodPoints(store, sensor, span)
  const shown = async () =>
    stepIn(good) || stepIn(await goodPoints(store, sensor, { from: span.to - before, to: span.to }))
  return { ...seriesOf(good, sensor.offset), step: sensor.resolution ?? (await shown()) }
}

/** The other sensors of temperature on the machine a sensor is on, as the shop file has them. */
const sensorsBeside = ({ sensors }: Pick<Shop, 'sensors'>, { id, at }: Sensor): Sensor[] =>
  at.kind !== 'node'
    ? []
    : sensors.filter(
        other =>
          other.id !== id && other.unit !== 'state' && other.at.kind === 'node' && other.at.machine === at.machine,
      )

/** What a sensor did that was said to lie with the others: it moved as another one of its own machine. */
interface SeenMounted {
  sensor: Sensor
  beside: Sensor
  /** K; how far it moved against those it was said to be with */
  moved: number
  /** with the movement of the one beside, 0.8..1 */
  correlation: number
}

/**
 * Compares sensors that were at one temperature together. It asks the sensors themselves: also one that was not believed
 * then is compared, and what is proposed adds to the offset it has today. Beside it, which of them moved with their
 * machines: those were not taken off.
 *
 * @throws RangeError when too few of the sensors have readings throughout the span
 */
export const checkTogether = async (
  store: Readings,
  shop: Pick<Shop, 'sensors'>,
  sensors: readonly Sensor[],
  span: Span,
): Promise<CommonTemperature & { stillMounted: SeenMounted[] }> => {
  const series = new Map<Sensor, SensorSeries & { step: number }>()
  for (const sensor of sensors) series.set(sensor, await storedSeries(store, sensor, span))
  const compared = [...series.values()]
  const found = commonTemperature(compared, span.from, span.to, blocks)

  const beside = sensors.map(sensor => sensorsBeside(shop, sensor))
  const onMachines = new Map<Sensor, SensorSeries>(series)
  for (const sensor of new Set(beside.flat()))
    if (!onMachines.has(sensor)) onMachines.set(sensor, seriesOf(await goodPoints(store, sensor, span)))
  const machines = beside.map(others => others.map(other => onMachines.get(other)!))
  const seen = stillMounted(compared, machines, span.from, span.to, blocks)
  return {
    ...found,
    stillMounted: seen.map(({ sensor, beside: of, ...how }) => ({
      sensor: sensors[sensor]!,
      beside: beside[sensor]![of]!,
      ...how,
    })),
  }
}
