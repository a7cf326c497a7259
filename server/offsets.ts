import { offsetInForce } from '../core/calibration/index.js'
import type { Machine, Sensor, Shop } from '../core/shop.js'
import type { Datum, OffsetChange } from '../core/state.js'
import type { Store } from './store/store.js'

/**
 * The shop with the offsets that are in force: those accepted last, where there are any, in place of the file's. Its
 * sensors are copies, for the file's own offsets must be known when a correction is taken back.
 */
export const withOffsetsInForce = async (shop: Shop, { facts }: Pick<Store, 'facts'>): Promise<Shop> => {
  const changes = await facts.of('offset')
  const inForce = (sensor: Sensor): Sensor => {
    const own = changes.filter(change => change.sensor === sensor.id)
    return { ...sensor, offset: offsetInForce(own)?.newOffset ?? sensor.offset }
  }
  return { ...shop, sensors: shop.sensors.map(inForce) }
}

/**
 * A datum as it would have been stored with the offsets of today, so that a correction does not read as drift.
 *
 * @param changes of any sensors, in any order
 */
export const datumWithOffsets = (
  datum: Datum,
  machine: Machine,
  sensors: readonly Sensor[],
  changes: readonly OffsetChange[],
): Datum => {
  const temperatures = { ...datum.temperatures }
  let { part } = datum
  const sensorsOf = (node: string | undefined) =>
    sensors.filter(({ at }) => at.kind === 'node' && at.machine === machine.id && at.node === node)
  for (const node of machine.nodes) {
    const before = temperatures[node.id]
    const measured = sensorsOf(node.id)
    const predicted = node.kind === 'body' && !node.required && !node.standIn && measured.length === 0
    const own = predicted ? sensorsOf(node.follows) : measured
    if (before === undefined || own.length === 0) continue
    const moved = changes
      .filter(change => change.at > datum.at && own.some(sensor => sensor.id === change.sensor))
      .reduce((sum, { newOffset, oldOffset }) => sum + newOffset - oldOffset, 0)
    temperatures[node.id] = before + moved / own.length
    if (part !== undefined && node.id === machine.workpiece.node) part += moved / own.length
  }
  return { ...datum, temperatures, ...(part !== undefined && { part }) }
}
