import type { Measured, SensorPlant } from '../plant.js'
import type { Random } from '../random.js'
import { chance, oneOf } from './draws.js'
import type { MadeMachine } from './machine.js'
import type { SensedNode } from './measuring.js'
import { durationText, kelvinText, type PayloadText, type SensorText } from './shop-text.js'
import type { Surroundings } from './surroundings.js'

/** One kind of device, as a shop buys them by the dozen. */
interface Device {
  plant: Omit<SensorPlant, 'id' | 'topic' | 'measures' | 'placement'>
  text: { unit: string; interval: string; uncertainty: string; payload: PayloadText }
}

export const randomDevice = (random: Random, fahrenheit: boolean): Device => {
  const interval = oneOf(random, [30, 60, 60, 120])
  const uncertainty = oneOf(random, [0.05, 0.1, 0.15])
  const unit = fahrenheit ? '°F' : '°C'
  const bare = chance(random, 0.2)
  const value = oneOf(random, ['value', 'temperature'])
  return {
    plant: {
      payload: bare ? { kind: 'number' } : { kind: 'json', value, time: chance(random, 0.7) ? 'ms' : 'iso' },
      unit,
      interval,
      lag: 60,
      airShare: 0,
      bias: uncertainty,
      noise: random.between(0.01, 0.05),
      resolution: oneOf(random, [0.01, 1 / 16, 0.1]),
    },
    text: {
      unit,
      interval: durationText(interval),
      uncertainty: kelvinText(uncertainty),
      payload: bare ? 'number' : { value, time: 'time' },
    },
  }
}

interface MadeSensors {
  plants: SensorPlant[]
  texts: Record<string, SensorText>
}

const onNode = (random: Random, device: Device, machine: string, node: SensedNode): SensorPlant => {
  const touching = node.measures.kind === 'body' || node.measures.kind === 'measuring part'
  return {
    ...device.plant,
    id: `${machine}-${node.id}`,
    topic: `shop/${machine}/${node.id}`,
    measures: node.measures,
    lag: touching ? random.between(60, 120) : random.between(20, 60),
    airShare: touching ? random.between(0, 0.05) : 0,
    placement: node.placement,
  }
}

/** Sensors on every node, beside some sources, in every zone and outdoors. */
export const randomSensors = (
  random: Random,
  device: Device,
  machines: readonly MadeMachine[],
  surroundings: Surroundings,
): MadeSensors => {
  const plants: SensorPlant[] = []
  const texts: Record<string, SensorText> = {}
  const add = (plant: SensorPlant, at: string, text: Partial<SensorText> = {}): void => {
    plants.push(plant)
    texts[plant.id] = { topic: plant.topic, at, ...text }
  }
  const room = (id: string, measures: Measured, at: string, more: Partial<SensorPlant> = {}, text = {}): void =>
    add({ ...device.plant, placement: 0, ...more, id, topic: `shop/${id}`, measures }, at, text)

  for (const { plant, nodes } of machines)
    for (const node of nodes) add(onNode(random, device, plant.id, node), `${plant.id}/${node.id}`)
  for (const source of surroundings.sources) {
    const at = `beside ${source.id}`
    if (chance(random, 0.8)) room(`${source.id}-air`, { kind: 'beside', source: source.id }, at)
    if (source.kind === 'door' && chance(random, 0.7))
      room(
        `${source.id}-contact`,
        { kind: 'state', source: source.id },
        at,
        { unit: 'state', interval: 60, payload: { kind: 'json', value: 'state', time: 'ms' } },
        { unit: 'state', interval: '60 s', payload: { value: 'state', time: 'time' } },
      )
  }
  for (const { id } of surroundings.zones) room(id, { kind: 'zone', zone: id }, 'shop air')
  room('outdoors', { kind: 'outdoors' }, 'outdoors', { lag: 120, bias: 0.3 }, { uncertainty: '0.3 K' })
  return { plants, texts }
}
