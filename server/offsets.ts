import { offsetInForce } from '../core/calibration/index.js'
import { movesWithOffsets } from '../core/settling/index.js'
import type { Machine, Node, Sensor, Shop } from '../core/shop.js'
import type { Datum, OffsetChange } from '../core/state.js'
import { usualTimeConstant } from './monitor/unmeasured-node.js'
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
  /** K; mean correction of the sensors on a node since */
  const movedOf = (node: string | undefined): number => {
    const own = sensorsOf(node)
    const moved = changes
      .filter(change => change.at > datum.at && own.some(sensor => sensor.id === change.sensor))
      .reduce((sum, { newOffset, oldOffset }) => sum + newOffset - oldOffset, 0)
    return moved / Math.max(1, own.length)
  }
  for (const node of machine.nodes) {
    const before = temperatures[node.id]
    if (before === undefined) continue
    const predicted = node.kind === 'body' && !node.required && !node.standIn && sensorsOf(node.id).length === 0
    const moved = predicted ? movedWithoutSensor(node, machine, sensorsOf, movedOf) : movedOf(node.id)
    temperatures[node.id] = before + moved
    if (part !== undefined && node.id === machine.workpiece.node) part += moved
  }
  return { ...datum, temperatures, ...(part !== undefined && { part }) }
}

/** K; what corrections do to a body that no sensor is on: it is predicted from what it follows and the bodies beside it */
const movedWithoutSensor = (
  node: Node,
  machine: Machine,
  sensorsOf: (node: string) => readonly Sensor[],
  movedOf: (node: string | undefined) => number,
): number => {
  const constant = (of: Node) => of.timeConstant ?? usualTimeConstant
  const beside = machine.nodes.filter(
    ({ id, kind, follows }) => kind === 'body' && follows === node.follows && sensorsOf(id).length > 0,
  )
  const followed = machine.nodes.find(({ id }) => id === node.follows)
  const parts = movesWithOffsets(
    constant(node),
    beside.map(body => ({ timeConstant: constant(body), placement: body.placementUncertainty })),
    followed?.placementUncertainty ?? 0,
  )
  return beside.reduce(
    (sum, { id }, i) => sum + parts.measured[i]! * movedOf(id),
    parts.surroundings * movedOf(node.follows),
  )
}
