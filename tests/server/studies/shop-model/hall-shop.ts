import type { Shop } from '../../../../core/shop.js'
import { inventedHall } from '../../../core/shop-model/invented-hall.js'
import { mill, shop as plain } from '../../http/fakes.js'

/** ten days of an invented hall, as a shop file would describe it and its sensors tell of it */
export const { courses, machine } = inventedHall(1)
/** ms */
export const end = courses.from + courses.length * courses.spacing * 1000
const beside = (id: string, source: string) => ({
  ...plain.sensors[3]!,
  id,
  topic: `t/${id}`,
  at: { kind: 'source' as const, source },
})
export const shop: Shop = {
  ...plain,
  timeZone: 'UTC',
  machines: [
    { ...mill, nodes: mill.nodes.map(node => (node.kind === 'body' ? { ...node, timeConstant: 3600 } : node)) },
  ],
  sources: [
    { id: 'dock', name: 'Dock door', kind: 'door' },
    { id: 'oven', name: 'Oven', kind: 'heat source' },
    { id: 'vent', name: 'Vent', kind: 'vent' },
  ],
  sensors: [
    { ...plain.sensors[0]!, id: 's-hall', topic: 't/s-hall', at: { kind: 'shop air' } },
    { ...plain.sensors[0]!, id: 's-out', topic: 't/s-out', at: { kind: 'outdoors' } },
    ...plain.sensors.slice(0, 3),
    beside('s-dock', 'dock'),
    beside('s-oven', 'oven'),
  ],
}

/** What each sensor told, every five minutes. */
export const told: [sensor: string, values: Float64Array][] = [
  ['s-hall', courses.places[0]!.temperature],
  ['s-air', courses.places[1]!.temperature],
  // the sensor's offset is 0.5 K
  ['s-screw', machine.nodes[1]!.temperature.map(value => value - 0.5)],
  ['s-column', machine.nodes[1]!.temperature],
  ['s-out', courses.outdoors!],
  ['s-dock', courses.sources[0]!.state!],
  ['s-oven', courses.sources[1]!.state!],
]
