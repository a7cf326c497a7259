import type { DoorPlant, MachinePlant, SensorPlant } from '../plant.js'
import { type Random, randomStream } from '../random.js'
import { chance } from './draws.js'
import type { RandomPlant } from './plant.js'
import { kelvinText } from './shop-text.js'

/** of the sensors that touch something, how many have a poor contact, and how much of the air these feel */
const poorContact = 0.15
const feltAir: [number, number] = [0.06, 0.2]

const livelyMachine = (machine: MachinePlant, random: Random, cold: boolean): MachinePlant => {
  const sunny = machine.bodies.filter(({ toAir }) => toAir > 0)
  const body = sunny[Math.floor(random.uniform() * sunny.length)]!
  const begin = random.between(8, 15)
  return {
    ...machine,
    // as much as warms the body by 0.5 to 2.5 K if it lay there for ever
    ...(chance(random, 0.25) && {
      sun: {
        body: body.id,
        power: body.toAir * random.between(0.5, 2.5),
        hours: [begin, begin + random.between(1, 4)],
      },
    }),
    duty: {
      ...machine.duty,
      irregular: {
        idle: random.between(0.1, 0.4),
        brokenOff: random.between(0.05, 0.25),
        light: random.between(0, 0.4),
        nutWander: random.between(0, 0.25),
        brought: { chance: cold ? random.between(0.1, 0.4) : 0, off: [0.01, 0.04] },
      },
    },
  }
}

const livelyDoor = (door: DoorPlant, random: Random): DoorPlant =>
  chance(random, 0.5) ? { ...door, traffic: { number: [5, 40], seconds: [15, 90] } } : door

const livelySensor = (sensor: SensorPlant, random: Random): SensorPlant => {
  const touches = sensor.measures.kind === 'body' || sensor.measures.kind === 'measuring part'
  return touches && chance(random, poorContact) ? { ...sensor, airShare: random.between(...feltAir) } : sensor
}

/**
 * The same shop, less tidy: jobs are broken off, light or elsewhere on the table, and machines stand idle in between;
 * trucks pass the doors; the sun falls on some machines; some sensors touch poorly. In some shops parts come from the
 * yard and are not quite soaked: there the shop's people state a larger uncertainty of a part's temperature.
 */
export const livelyPlant = (plant: RandomPlant, seed: number): RandomPlant => {
  const random = randomStream(seed, 'random/lively')
  const cold = chance(random, 0.3)
  const machines = plant.machines.map(machine => livelyMachine(machine, random, cold))
  const stated = Object.entries(plant.stated.machines).map(([id, text]) => {
    const uncertainty = Math.hypot(Number.parseFloat(text.workpiece.uncertainty), cold ? 0.3 : 0)
    return [
      id,
      { ...text, workpiece: { ...text.workpiece, uncertainty: kelvinText(Math.round(20 * uncertainty) / 20) } },
    ]
  })
  return {
    ...plant,
    machines,
    sources: plant.sources.map(source => (source.kind === 'door' ? livelyDoor(source, random) : source)),
    sensors: plant.sensors.map(sensor => livelySensor(sensor, random)),
    stated: { ...plant.stated, machines: Object.fromEntries(stated) },
  }
}
