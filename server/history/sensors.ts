import type { Machine, Node, Sensor, Shop } from '../../core/shop.js'
import { grouped } from '../grouped.js'

/** by machine and node; looked up often, and a shop may have thousands */
const byNode = new WeakMap<readonly Sensor[], ReadonlyMap<string, Sensor[]>>()

const placed = (sensors: readonly Sensor[]): ReadonlyMap<string, Sensor[]> => {
  const atNodes = sensors.filter(({ unit, at }) => unit !== 'state' && at.kind === 'node')
  const found = grouped(atNodes, ({ at }) => (at.kind === 'node' ? `${at.machine}/${at.node}` : ''))
  byNode.set(sensors, found)
  return found
}

/** The sensors of temperature at a node. */
export const sensorsAt = ({ sensors }: Pick<Shop, 'sensors'>, machine: Machine, node: string): readonly Sensor[] =>
  (byNode.get(sensors) ?? placed(sensors)).get(`${machine.id}/${node}`) ?? []

/** The sensors that tell whether a source is open or running. */
export const stateSensorsOf = ({ sensors }: Pick<Shop, 'sensors'>, source: string): Sensor[] =>
  sensors.filter(({ unit, at }) => unit === 'state' && at.kind === 'source' && at.source === source)

/** The bodies that no sensor is on and no verdict needs: they are predicted. */
export const unmeasuredBodies = (shop: Pick<Shop, 'sensors'>, machine: Machine): Node[] =>
  machine.nodes.filter(
    ({ id, kind, required }) => kind === 'body' && !required && sensorsAt(shop, machine, id).length === 0,
  )

/** The bodies with sensors that follow the same as one without: what they do tells of it. */
export const bodiesBeside = (shop: Pick<Shop, 'sensors'>, machine: Machine, node: Node): Node[] =>
  machine.nodes.filter(
    ({ id, kind, follows }) =>
      kind === 'body' && follows === node.follows && id !== node.id && sensorsAt(shop, machine, id).length > 0,
  )
