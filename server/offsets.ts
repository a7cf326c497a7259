import { offsetInForce } from '../core/calibration/index.js'
import { movesWithOffsets } from '../core/settling/index.js'
import type { Machine, Node, Shop } from '../core/shop.js'
import type { Datum, OffsetChange } from '../core/state.js'
import { bodiesBeside, sensorsAt, unmeasuredBodies } from './history/index.js'
import { usualTimeConstant } from './monitor/unmeasured-node.js'
import type { Store } from './store/store.js'

/**
 * The shop with the offsets that are in force: those accepted last, where there are any, in place of the file's. Its
 * sensors are copies, for the file's own offsets must be known when a correction is taken back.
 */
export const withOffsetsInForce = async (shop: Shop, { facts }: Pick<Store, 'facts'>): Promise<Shop> => {
  const changes = await facts.of('offset')
  const sensors = shop.sensors.map(sensor => {
    const own = changes.filter(change => change.sensor === sensor.id)
    return { ...sensor, offset: offsetInForce(own)?.newOffset ?? sensor.offset }
  })
  return { ...shop, sensors }
}

/**
 * A datum as it would have been stored with the offsets of today, so that a correction does not read as drift.
 *
 * @param changes of any sensors, in any order
 */
export const datumWithOffsets = (
  datum: Datum,
  machine: Machine,
  shop: Pick<Shop, 'sensors'>,
  changes: readonly OffsetChange[],
): Datum => {
  const temperatures = { ...datum.temperatures }
  let { part } = datum
  /** K; mean correction of the sensors on a node since */
  const movedOf = (node: string): number => {
    const own = sensorsAt(shop, machine, node)
    const moved = changes
      .filter(change => change.at > datum.at && own.some(sensor => sensor.id === change.sensor))
      .reduce((sum, { newOffset, oldOffset }) => sum + newOffset - oldOffset, 0)
    return moved / Math.max(1, own.length)
  }
  const predicted = unmeasuredBodies(shop, machine).filter(({ standIn }) => !standIn)
  for (const node of machine.nodes) {
    const before = temperatures[node.id]
    if (before === undefined) continue
    const moved = predicted.includes(node)
      ? movedWithoutSensor(node, machine, bodiesBeside(shop, machine, node), movedOf)
      : movedOf(node.id)
    temperatures[node.id] = before + moved
    if (part !== undefined && node.id === machine.workpiece.node) part += moved
  }
  return { ...datum, temperatures, ...(part !== undefined && { part }) }
}

/** K; what corrections do to a body that no sensor is on: it is predicted from what it follows and the bodies beside it */
const movedWithoutSensor = (
  node: Node,
  { nodes }: Machine,
  beside: readonly Node[],
  movedOf: (node: string) => number,
): number => {
  const constant = (of: Node) => of.timeConstant ?? usualTimeConstant
  const parts = movesWithOffsets(
    constant(node),
    beside.map(body => ({ timeConstant: constant(body), placement: body.placementUncertainty })),
    nodes.find(({ id }) => id === node.follows)?.placementUncertainty ?? 0,
  )
  return beside.reduce(
    (sum, { id }, i) => sum + parts.measured[i]! * movedOf(id),
    parts.surroundings * movedOf(node.follows ?? ''),
  )
}
