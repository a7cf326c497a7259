import { offsetInForce } from '../../core/calibration/index.js'
import { type Identification, identificationInUse } from '../../core/settling/index.js'
import type { Machine, Sensor, Shop } from '../../core/shop.js'
import type { OffsetChange } from '../../core/state.js'
import type { Store } from '../store/store.js'
import { type Doubted, doubtedStretches } from './believed.js'

/** ms; how long an accepted identification may stand while later histories tell too little */
export const stands = 90 * 86_400_000

/** What the past is asked of: the shop as it is described now, and what is stored. */
export interface Past {
  shop: Shop
  store: Pick<Store, 'series' | 'facts'>
}

/** What was believed of a machine, and what was in force for it, at any moment of a span. */
export interface InForce {
  /** stretches in which a sensor was not believed, in order of time */
  doubted(sensor: string): readonly Doubted[]
  /** K; added to the readings of a sensor of this machine at a moment */
  offset(sensor: Sensor, at: number): number
  /** how a node was known to settle at a moment; null: as configured */
  settling(node: string, at: number): Identification | null
}

/** The change that was the newest one at a moment. @param changes newest first */
export const newestAt = <T extends { at: number }>(changes: readonly T[], at: number): T | undefined =>
  changes.find(change => change.at <= at)

/** An offset, K, and since when it was in force, ms; −Infinity: always. */
export interface OffsetSince {
  at: number
  offset: number
}

/** Offsets of a sensor as they came into force, newest first; the last one always held. */
const offsetsOf = ({ offset }: Sensor, changes: readonly OffsetChange[]): OffsetSince[] => {
  const first = { at: Number.NEGATIVE_INFINITY, offset: changes.at(-1)?.oldOffset ?? offset }
  const found = [...changes.map(({ at, newOffset }) => ({ at, offset: newOffset })), first]
  // a correction that was taken back leaves the shop file's offset, which may have been written anew since
  if (!offsetInForce(changes)) found[0]!.offset = offset
  return found
}

const settlingAt = (found: readonly Identification[], at: number): Identification | null => {
  const made = found.filter(each => each.at <= at && at - each.at < stands)
  return made[0] ? identificationInUse(made, made[0].sensors) : null
}

/** By sensor, newest first; the last one always held. */
export const readOffsets = async (
  { facts }: Pick<Past['store'], 'facts'>,
  sensors: readonly Sensor[],
): Promise<ReadonlyMap<string, readonly OffsetSince[]>> => {
  const changes = (await facts.of('offset')).reverse()
  return new Map(
    sensors.map(sensor => [
      sensor.id,
      offsetsOf(
        sensor,
        changes.filter(change => change.sensor === sensor.id),
      ),
    ]),
  )
}

/**
 * The past with the offsets of one moment held throughout: as it was believed then, and a correction accepted within a span does not
 * read as a change of temperature.
 *
 * @param at ms
 */
export const withOffsetsAt = async ({ shop, store }: Past, at: number): Promise<Past> => {
  const offsets = await readOffsets(store, shop.sensors)
  const sensors = shop.sensors.map(sensor => ({ ...sensor, offset: newestAt(offsets.get(sensor.id)!, at)!.offset }))
  return { shop: { ...shop, sensors }, store }
}

/**
 * Reads what is on record of a machine: what was found of its sensors, which offsets were accepted, and which time
 * constants were identified, each with its moment.
 *
 * @param from ms; the earliest moment that will be asked for
 * @param correctedAt ms; the offsets of this one moment hold throughout: so a correction accepted within a span does not
 *   read as a change of the machine. If not given, each moment has its own
 */
export const readInForce = async (
  { shop, store }: Past,
  machine: Machine,
  from: number,
  correctedAt?: number,
): Promise<InForce> => {
  const doubted = doubtedStretches(await store.facts.newest('trust', from))
  const offsets = await readOffsets(
    store,
    shop.sensors.filter(({ at }) => at.kind === 'node' && at.machine === machine.id),
  )
  const identified = (await store.facts.of('identification', { subject: machine.id, from: from - stands })).reverse()
  return {
    doubted: sensor => doubted.get(sensor) ?? [],
    offset: ({ id }, at) => newestAt(offsets.get(id) ?? [], correctedAt ?? at)?.offset ?? 0,
    settling(node, at) {
      const found = identified.filter(each => each.node === node)
      return settlingAt(found, at)
    },
  }
}
