import type { Machine, Sensor } from '../../core/shop.js'
import type { GrowthOf } from '../http/parts.js'
import type { Store } from '../store/store.js'
import { nodeTemperatures } from './node-temperatures.js'
import type { Span } from './span.js'

export interface GrowthPoint {
  /** ms; start of the interval */
  at: number
  /** m */
  atZero: number
  atWork: number
  atTravel: number
}

/**
 * Growth of a machine's axes over a span, computed from its nodes' stored readings on common intervals. An axis has no
 * point in an interval in which a node it depends on has no reading: a partial sum would look like growth.
 *
 * @returns by axis, in the machine's order; m and ms
 */
export const growthSeries = (
  machine: Machine,
  sensors: readonly Sensor[],
  store: Pick<Store, 'series'>,
  growthOf: GrowthOf,
  span: Span,
  points: number,
): { axis: string; points: GrowthPoint[] }[] => {
  const axes = machine.axes.map(axis => ({ axis: axis.id, points: [] as GrowthPoint[] }))
  const byId = new Map(axes.map(axis => [axis.axis, axis.points]))
  for (const { at, temperatures } of nodeTemperatures(machine, sensors, store, span, points).rows)
    for (const { axis, ...growth } of growthOf(machine, temperatures))
      if (Object.values(growth).every(Number.isFinite)) byId.get(axis)?.push({ at, ...growth })
  return axes
}
