import { type FaultKind, faultKinds } from './sensor.js'
import type { SimulatedShop } from './shop.js'

/** What may be said to a running simulation, on its terminal or on the topic `simulator/command`. */
export const commandHelp = [
  'unplug SENSOR        the sensor sends nothing any more',
  'plug SENSOR          the sensor is whole again',
  `fault SENSOR KIND    KIND is one of ${Object.keys(faultKinds).join(', ')}`,
  'open DOOR            opens a door by hand',
  'shut DOOR            shuts it by hand',
  'leave DOOR           gives the door back to its own day',
  'help                 shows this list',
]

const isFaultKind = (word: string): word is FaultKind => Object.hasOwn(faultKinds, word)

const known = (shop: SimulatedShop, kind: 'sensor' | 'door', id: string): string | null => {
  const ids =
    kind === 'sensor'
      ? shop.plant.sensors.map(sensor => sensor.id)
      : shop.plant.sources.filter(source => source.kind === 'door').map(source => source.id)
  return ids.includes(id) ? null : `There is no ${kind} "${id}". There are: ${ids.join(', ')}.`
}

/**
 * Carries out one line said to the shop.
 *
 * @returns what was done, or what is wrong with the line and what would be right
 */
export const obey = (shop: SimulatedShop, line: string): string => {
  const [verb = '', id = '', kind = '', ...rest] = line.trim().split(/\s+/)
  const tooMany = rest.length > 0 || (kind !== '' && verb !== 'fault')
  const help = ['Commands:', ...commandHelp.map(text => `  ${text}`)].join('\n')
  if (verb === 'help') return help
  if (tooMany) return `"${line.trim()}" has too many words.\n${help}`
  if (verb === 'unplug' || verb === 'plug' || verb === 'fault') {
    const wrong = known(shop, 'sensor', id)
    if (wrong) return wrong
    if (verb === 'plug') {
      shop.fault(id, null)
      return `${id}: whole again`
    }
    const fault = verb === 'unplug' ? 'unplugged' : kind
    if (!isFaultKind(fault)) return `There is no fault "${fault}". There are: ${Object.keys(faultKinds).join(', ')}.`
    shop.fault(id, fault)
    return `${id}: ${fault} (${faultKinds[fault]})`
  }
  if (verb === 'open' || verb === 'shut' || verb === 'leave') {
    const wrong = known(shop, 'door', id)
    if (wrong) return wrong
    shop.setDoor(id, verb === 'leave' ? null : verb === 'open')
    return verb === 'leave' ? `${id}: back to its own day` : `${id}: ${verb === 'open' ? 'open' : 'shut'}, by hand`
  }
  return verb === '' ? '' : `"${verb}" is not understood.\n${help}`
}
