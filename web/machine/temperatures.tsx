import { useMemo } from 'preact/hooks'
import { formatTemperature, temperatureScale } from '../../core/format.js'
import type { Machine, Sensor, Shop } from '../../core/shop.js'
import type { Datum } from '../../core/state.js'
import { useAnswer } from '../answer.js'
import { fetchSeries, seriesPath } from '../api.js'
import { units } from '../preferences.js'
import { LineChart } from './line-chart.js'
import { seriesLine } from './lines.js'
import { chartPoints, refreshEvery, type Span, spanAt } from './span.js'
import type { Line } from './time-chart.js'

const sensorsOf = (shop: Shop, machine: Machine): { sensor: Sensor; name: string }[] =>
  machine.nodes.flatMap(node => {
    const own = shop.sensors.filter(
      s => s.unit !== 'state' && s.at.kind === 'node' && s.at.machine === machine.id && s.at.node === node.id,
    )
    return own.map(sensor => ({ sensor, name: own.length > 1 ? `${node.name} (${sensor.name})` : node.name }))
  })

interface Props {
  shop: Shop
  machine: Machine
  span: Span
  now: number
  datum: Datum | null
}

/** Temperatures of all nodes of a machine over the span. */
export const Temperatures = ({ shop, machine, span, now, datum }: Props) => {
  const sensors = useMemo(() => sensorsOf(shop, machine), [shop, machine])
  const ids = sensors.map(s => s.sensor.id)
  const { value, problem } = useAnswer(
    async signal => {
      const range = spanAt(span, now)
      return { range, series: (await fetchSeries(ids, { ...range, points: chartPoints }, signal)).series }
    },
    JSON.stringify([ids, span]),
    refreshEvery(span),
  )
  const lines = useMemo<Line[]>(
    () =>
      sensors.flatMap(({ sensor, name }, style) => {
        const series = value?.series.find(s => s.sensor === sensor.id)
        if (!series) return []
        const points = seriesLine(series, sensor.interval)
        return [{ id: sensor.id, name, style, points, banded: series.level !== 'reading' }]
      }),
    [sensors, value],
  )
  const system = units.value
  const reference = shop.referenceTemperature
  const marks = useMemo(
    () => ({
      level: { at: reference, text: formatTemperature(reference, system, 0) },
      moments: datum ? [{ at: datum.at, text: 'datum' }] : [],
    }),
    [reference, system, datum],
  )
  const range = value?.range ?? spanAt(span, now)

  return (
    <LineChart
      id="temperatures"
      title="Temperatures"
      about={`Temperatures of ${machine.name}`}
      hint={lines.some(l => l.banded) ? 'Bands run from the lowest to the highest reading.' : ''}
      csv={seriesPath(ids, { ...range, points: chartPoints }, 'csv')}
      problem={problem}
      empty={
        sensors.length === 0
          ? 'The shop file gives this machine no temperature sensors.'
          : value && lines.every(l => l.points.length === 0)
            ? 'No readings in this span. Choose another one.'
            : ''
      }
      lines={lines}
      marks={marks}
      range={range}
      zone={shop.timeZone}
      scale={temperatureScale[system]}
      system={system}
      format={formatTemperature}
    />
  )
}
