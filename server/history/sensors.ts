import type { Machine, Node, Sensor, Shop } from '../../core/shop.js'

/** by machine and node; looked up often, and a shop may have thousands */
const byNode = new WeakMap<readonly Sensor[], Map<string, Sensor[]>>()

const sorted = (sensors: readonly Sensor[]): Map<string, Sensor[]> => {
  const found = new Map<string, Sensor[]>()
  for (const sensor of sensors) {
    if (sensor.unit === 'state' || sensor.at.kind !== 'node') continue
    const key = `${sensor.at.machine}/${sensor.at.node}`
    found.set(key, [...(found.get(key) ?? []), sensor])
  }
  byNode.set(sensors, found)
  return found
}

/** The sensors of temperature at a node. */
export const sensorsAt = ({ sensors }: Pick<Shop, 'sensors'>, machine: Machine, node: string): readonly Sensor[] =>
  (byNode.get(sensors) ?? sorted(sensors)).get(`${machine.id}/${node}`) ?? []

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
