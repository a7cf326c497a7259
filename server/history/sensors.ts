import type { Machine, Sensor, Shop } from '../../core/shop.js'

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
