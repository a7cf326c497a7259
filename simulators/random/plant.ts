import type { Plant } from '../plant.js'
import { randomStream } from '../random.js'
import { chance, oneOf } from './draws.js'
import { type PlannedFault, randomFaults } from './faults.js'
import type { FrameKind } from './frames.js'
import { randomMachine } from './machine.js'
import { randomMaterials, trueAlpha } from './materials.js'
import { randomDevice, randomSensors } from './sensors.js'
import type { ShopText } from './shop-text.js'
import { randomSurroundings } from './surroundings.js'
import { randomWork } from './work.js'

/** An invented shop as it is, with what its people write down about it. */
export interface RandomPlant extends Plant {
  /** ms; a day of some year at which it begins */
  start: number
  faults: PlannedFault[]
  stated: ShopText
}

const DAY = 86_400_000

/**
 * An invented shop that differs from every other in climate, season, building, machines, sensors and work. Its truth lies
 * around what its file states as widely as the file's uncertainties say.
 *
 * @param seed the same seed gives the same shop
 */
export const randomPlant = (seed: number): RandomPlant => {
  const random = randomStream(seed, 'random/shop')
  const surroundings = randomSurroundings(randomStream(seed, 'random/surroundings'))
  const materials = randomMaterials(randomStream(seed, 'random/materials'))
  const american = surroundings.timeZone.startsWith('America/') && surroundings.timeZone !== 'America/Vancouver'
  const stated = {
    materials,
    lengths: american ? ('in' as const) : ('mm' as const),
    timeConstantUncertainty: oneOf(random, [0.15, 0.25, 0.3]),
  }
  const count = 1 + Math.floor(4 * random.uniform())
  const counted: Partial<Record<FrameKind, number>> = {}
  const machines = Array.from({ length: count }, () => {
    const kind = oneOf<FrameKind>(random, ['mill', 'mill', 'lathe', 'grinder'])
    counted[kind] = (counted[kind] ?? 0) + 1
    return randomMachine(seed, `${kind}-${counted[kind]}`, kind, surroundings, stated)
  })
  const device = randomDevice(random, american && chance(random, 0.7))
  const sensors = randomSensors(randomStream(seed, 'random/sensors'), device, machines, surroundings)
  const name = `Random shop ${seed} (invented)`
  const { climate: _, ...rest } = surroundings
  return {
    name,
    ...rest,
    machines: machines.map(({ plant }) => plant),
    sensors: sensors.plants,
    partAlpha: Object.fromEntries(materials.parts.map(part => [part.name, trueAlpha(random, part)])),
    roles: { door: 'dock-door', compressor: 'compressor', warmUp: machines[0]!.plant.id },
    start: Date.UTC(2025, 0, 6) + Math.floor(364 * random.uniform()) * DAY,
    faults: randomFaults(randomStream(seed, 'random/faults'), sensors.plants),
    stated: {
      shop: { name, 'time zone': surroundings.timeZone, 'reference temperature': '20 °C', invented: true },
      sources: Object.fromEntries(
        surroundings.sources.map(({ id, kind }) => [
          id,
          { name: `${id[0]!.toUpperCase()}${id.slice(1).replace(/-/g, ' ')}`, kind },
        ]),
      ),
      materials: materials.text,
      'work classes': randomWork(randomStream(seed, 'random/work'), materials, stated.lengths),
      machines: Object.fromEntries(machines.map(({ plant, text }) => [plant.id, text])),
      'sensor defaults': device.text,
      sensors: sensors.texts,
    },
  }
}
