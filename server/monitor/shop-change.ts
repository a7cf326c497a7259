import type { Machine, Shop } from '../../core/shop.js'
import { sensorsAt } from '../history/index.js'

/** What a changed shop file makes anew; everything else goes on. */
export interface Anew {
  /** ids of the new file's; followed anew, from what is stored */
  machines: ReadonlySet<string>
  /** likewise */
  sensors: ReadonlySet<string>
  /** whether all sources are */
  sources: boolean
}

const same = (one: unknown, other: unknown): boolean => JSON.stringify(one) === JSON.stringify(other)

/**
 * What a machine is made of, and what is measured on it. Its name, its kind, what it makes or a limit of its surroundings
 * changes nothing about that.
 */
const substance = (shop: Shop, machine: Machine): unknown => {
  const { name, description, kind, place, makes, limits, ...made } = machine
  return [made, machine.nodes.map(node => sensorsAt(shop, machine, node.id))]
}

/** What of the shop differs so much from before that what was known of it no longer holds. */
export const anewIn = (before: Shop, next: Shop): Anew => {
  const allOf = before.referenceTemperature !== next.referenceTemperature || before.timeZone !== next.timeZone
  const machines = new Set(
    next.machines
      .filter(machine => {
        const old = before.machines.find(m => m.id === machine.id)
        return allOf || !old || !same(substance(before, old), substance(next, machine))
      })
      .map(machine => machine.id),
  )
  const ofSources = ({ sensors }: Shop) => sensors.filter(({ at }) => at.kind === 'source')
  const sources = !same(before.sources, next.sources) || !same(ofSources(before), ofSources(next))
  const known = new Map(before.sensors.map(sensor => [sensor.id, sensor]))
  const sensors = new Set(
    next.sensors
      .filter(
        sensor =>
          !same(known.get(sensor.id), sensor) ||
          ((sensor.at.kind === 'node' || sensor.at.kind === 'spindle') && machines.has(sensor.at.machine)) ||
          (sensor.at.kind === 'source' && sources),
      )
      .map(sensor => sensor.id),
  )
  return { machines, sensors, sources }
}

/** Makes one shop what another one is: whoever holds on to it has the new one. */
export const replaceShop = (shop: Shop, next: Shop, anew: Anew): void => {
  const known = new Map(shop.sensors.map(sensor => [sensor.id, sensor]))
  // one that is followed on must stay the same object, for its offset may change
  const sensors = next.sensors.map(sensor => (anew.sensors.has(sensor.id) ? sensor : known.get(sensor.id)!))
  for (const key of Object.keys(shop)) delete (shop as unknown as Record<string, unknown>)[key]
  Object.assign(shop, next, { sensors })
}
