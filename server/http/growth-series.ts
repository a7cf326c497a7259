import type { Machine, Sensor } from '../../core/shop.js'
import { joinByInterval } from '../join-by-interval.js'
import type { Series, Store } from '../store/store.js'
import type { GrowthOf } from './parts.js'
import type { Span } from './span.js'

export interface GrowthPoint {
  /** ms; start of the interval */
  at: number
  /** m */
  atZero: number
  atWork: number
  atTravel: number
}

/** ms; what a level can tell apart */
const levelWidth: Record<Series['level'], number> = { reading: 1, minute: 60_000, 'quarter hour': 900_000 }

/** the sensors that give a temperature of a node, by node */
const sensorsByNode = (sensors: readonly Sensor[], machine: Machine): Map<string, Sensor[]> => {
  const byNode = new Map<string, Sensor[]>()
  for (const sensor of sensors)
    if (sensor.unit !== 'state' && sensor.at.kind === 'node' && sensor.at.machine === machine.id)
      byNode.set(sensor.at.node, [...(byNode.get(sensor.at.node) ?? []), sensor])
  return byNode
}

/**
 * Growth of a machine's axes over a span, computed from its nodes' stored readings.
 *
 * All nodes are put on common intervals, wide enough that each sensor reports at least once in each (two of the
 * longest report interval). A node with several sensors takes their mean. An axis has no point in an interval in which
 * a node it depends on has no reading: a partial sum would look like growth.
 *
 * @returns by axis, in the machine's order; m and ms
 */
export const growthSeries = (
  machine: Machine,
  sensors: readonly Sensor[],
  store: Pick<Store, 'series'>,
  growthOf: GrowthOf,
  { from, to }: Span,
  points: number,
): { axis: string; points: GrowthPoint[] }[] => {
  const stored = [...sensorsByNode(sensors, machine)].flatMap(([node, at]) =>
    at.map(sensor => ({ node, sensor, series: store.series(sensor.id, from, to, points) })),
  )
  const coarsest = Math.max(1, ...stored.map(({ series }) => levelWidth[series.level]))
  const slowest = Math.max(0, ...stored.map(({ sensor }) => 2000 * sensor.interval))
  const width = Math.ceil(Math.max((to - from) / points, slowest) / coarsest) * coarsest

  const sums = new Map<number, Map<string, { sum: number; sensors: number }>>()
  for (const { node, sensor, series } of stored)
    for (const { at, mean } of joinByInterval(series.points, width)) {
      const row = sums.get(at) ?? new Map<string, { sum: number; sensors: number }>()
      const { sum, sensors: count } = row.get(node) ?? { sum: 0, sensors: 0 }
      row.set(node, { sum: sum + mean + sensor.offset, sensors: count + 1 })
      sums.set(at, row)
    }

  const axes = machine.axes.map(axis => ({ axis: axis.id, points: [] as GrowthPoint[] }))
  const byId = new Map(axes.map(axis => [axis.axis, axis.points]))
  for (const [at, row] of [...sums].sort(([a], [b]) => a - b)) {
    const temperatures = Object.fromEntries([...row].map(([node, { sum, sensors: count }]) => [node, sum / count]))
    for (const { axis, ...growth } of growthOf(machine, temperatures))
      if (Object.values(growth).every(Number.isFinite)) byId.get(axis)?.push({ at, ...growth })
  }
  return axes
}
