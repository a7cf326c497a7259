import { useMemo } from 'preact/hooks'
import { formatTemperature, temperatureScale } from '../../core/format.js'
import type { Machine, Shop } from '../../core/shop.js'
import type { Datum } from '../../core/state.js'
import type { NodeTemperatures } from '../../server/http/schemas/answers.js'
import { type Range, temperaturesPath } from '../api.js'
import { LineChart } from '../charts/line-chart.js'
import { replacedHint, temperatureLine } from '../charts/lines.js'
import { useOverSpan } from '../charts/over-span.js'
import type { Span } from '../charts/span.js'
import type { Line } from '../charts/time-chart.js'
import { units } from '../preferences.js'

interface Props {
  shop: Shop
  machine: Machine
  span: Span
  now: number
  datum: Datum | null
}

/** Temperatures of all nodes of a machine over the span. */
export const Temperatures = ({ shop, machine, span, now, datum }: Props) => {
  const address = (range: Range, format?: 'csv') => temperaturesPath(machine.id, range, format)
  const { value, range, problem } = useOverSpan<{ nodes: NodeTemperatures[] }>(address, span, now)
  const lines = useMemo<Line[]>(
    () =>
      machine.nodes.flatMap(({ id, name }, style) => {
        const known = value?.nodes.find(({ node }) => node === id)
        if (!known) return []
        const predicted = known.points.length > 0 && known.points.every(p => p.takenFrom === 'prediction')
        const named = predicted ? `${name} (predicted)` : name
        return [{ id, name: named, style, points: temperatureLine(known), banded: !predicted }]
      }),
    [machine, value],
  )
  const replaced = machine.nodes.filter(({ id }) =>
    value?.nodes
      .find(({ node }) => node === id)
      ?.points.some(({ takenFrom }) => takenFrom === 'stand-in' || takenFrom === 'surroundings'),
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

  return (
    <LineChart
      id="temperatures"
      title="Temperatures"
      about={`Temperatures of ${machine.name}`}
      hint={`Bands run from the lowest to the highest reading.${replacedHint(replaced.map(({ name }) => name))}`}
      csv={address(range, 'csv')}
      problem={problem}
      empty={
        value && lines.every(l => l.points.length === 0)
          ? 'Nothing that could be believed was read in this span. Choose another one.'
          : ''
      }
      lines={lines}
      marks={marks}
      range={range}
      zone={shop}
      scale={temperatureScale[system]}
      machine={machine.id}
      format={formatTemperature}
    />
  )
}
