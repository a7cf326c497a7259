import { useMemo } from 'preact/hooks'
import { formatTemperature } from '../../core/format.js'
import type { Machine, Shop } from '../../core/shop.js'
import type { Datum } from '../../core/state.js'
import type { GrowthSeries, NodeTemperatures } from '../../server/http/schemas/answers.js'
import { asCsv, machinePath, type Range } from '../api.js'
import { LineChart } from '../charts/line-chart.js'
import { growthLine, replacedHint, temperatureLine } from '../charts/lines.js'
import { useOverSpan } from '../charts/over-span.js'
import type { Span } from '../charts/span.js'
import type { Line } from '../charts/time-chart.js'
import { units } from '../preferences.js'
import { atTheWork } from '../words.js'

interface Props {
  shop: Shop
  machine: Machine
  span: Span
  now: number
  datum: Datum | null
}

const momentOf = (datum: Datum | null) => (datum ? [{ at: datum.at, text: 'datum' }] : [])

/** @param why said where nothing is known of any line */
const emptyOf = (lines: readonly Line[], why: string) => (lines.every(l => l.points.length === 0) ? why : '')

/** Temperatures of all nodes of a machine over the span. */
export const Temperatures = ({ shop, machine, span, now, datum }: Props) => {
  const address = (range: Range) => machinePath(machine.id, 'temperatures', { ...range })
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
      moments: momentOf(datum),
    }),
    [reference, system, datum],
  )
  return (
    <LineChart
      id="temperatures"
      title="Temperatures"
      about={`Temperatures of ${machine.name}`}
      hint={`Bands run from the lowest to the highest reading.${replacedHint(replaced.map(({ name }) => name))}`}
      csv={asCsv(address(range))}
      {...{ problem, lines, marks, range }}
      empty={value ? emptyOf(lines, 'Nothing that could be believed was read in this span. Choose another one.') : ''}
      zone={shop}
      of="temperature"
      machine={machine.id}
    />
  )
}

/** Growth of every axis over the span, computed by the service from the stored readings. */
export const GrowthOverTime = ({ shop, machine, span, now, datum }: Props) => {
  const address = (range: Range) => machinePath(machine.id, 'growth', { ...range })
  const { value, range, problem } = useOverSpan<{ axes: GrowthSeries[] }>(address, span, now)
  const lines = useMemo<Line[]>(
    () =>
      value?.axes.map((series, style) => ({
        id: series.axis,
        name: atTheWork(machine, series.axis),
        style,
        points: growthLine(series),
        banded: true,
      })) ?? [],
    [value, machine],
  )
  const marks = useMemo(() => ({ level: { at: 0, text: 'no growth' }, moments: momentOf(datum) }), [datum])
  const replaced = value?.axes.filter(({ points }) => points.some(p => p.standIn)).map(({ axis }) => axis) ?? []
  return (
    <LineChart
      id="growth-over-time"
      title="Growth by axis"
      about={`Growth of the axes of ${machine.name}`}
      hint={`Against ${formatTemperature(shop.referenceTemperature, units.value, 0)}. Bands run over the whole travel.${replacedHint(replaced)}`}
      csv={asCsv(address(range))}
      {...{ problem, lines, marks, range }}
      empty={value ? emptyOf(lines, 'Growth cannot be told in this span: a node it depends on has no readings.') : ''}
      zone={shop}
      of="growth"
      machine={machine.id}
    />
  )
}
