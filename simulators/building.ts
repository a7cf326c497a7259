import { createActivity, isWorkingTime } from './activity.js'
import type { LocalTime } from './calendar.js'
import { createClimate } from './climate.js'
import type { Plant } from './plant.js'
import type { Weather } from './weather.js'

/** How a scenario changes the building. */
export interface BuildingChanges {
  /** open or running, null to leave it to the source's own day */
  active: (source: string, time: number) => boolean | null
  /** °C outside working hours, null for the plant's own */
  nightSet: number | null
  /** 0..1 of the coolers' power */
  coolingPart: number
  /** whether heating and cooling keep what they keep by day, null to leave it to the working hours */
  heated: (time: number) => boolean | null
  /** 0..1 of the heat of people and lamps at work */
  people: (working: boolean, time: number) => number
}

/**
 * The building: the heat balance of each zone's air and of its heavy parts, with outdoors, sun, people, machines, heater
 * and cooler, neighbouring zones, doors, vents and heat sources; and the air beside each source.
 *
 * @param start °C of everything at the beginning
 */
export const createBuilding = (plant: Plant, seed: number, changes: BuildingChanges, start: number) => {
  const zoneIndex = new Map(plant.zones.map((zone, i) => [zone.id, i]))
  const zoneOf = (id: string): number => {
    const index = zoneIndex.get(id)
    if (index === undefined) throw new RangeError(`plant "${plant.name}" has no zone "${id}"`)
    return index
  }
  const air = new Float64Array(plant.zones.length).fill(start)
  const mass = new Float64Array(plant.zones.length).fill(start)
  const gain = new Float64Array(plant.zones.length)
  const climates = plant.zones.map(zone => createClimate(zone.climate, changes.nightSet, changes.coolingPart))
  const heaterOn = plant.zones.map(() => false)
  const coolerOn = plant.zones.map(() => false)
  const mixing = plant.mixing.map(({ between, exchange }) => ({
    a: zoneOf(between[0]),
    b: zoneOf(between[1]),
    exchange,
  }))
  const sources = plant.sources.map(source => ({
    plant: source,
    zone: zoneOf(source.zone),
    activity: createActivity(plant, source, seed, changes.active),
  }))
  const active = sources.map(() => false)
  const beside = new Float64Array(sources.length).fill(start)
  const supply = new Float64Array(plant.zones.length).fill(start)

  /** What a source gives its zone, W, and the air beside it, °C. */
  const stepSource = (i: number, h: number, outdoors: number): void => {
    const { plant: source, zone } = sources[i]!
    const here = air[zone]!
    let target = here
    if (source.kind === 'door') {
      gain[zone]! += (active[i] ? source.open : source.shut) * (outdoors - here)
      target += (active[i] ? source.besideOpen : source.besideShut) * (outdoors - here)
    } else if (source.kind === 'vent') {
      const climate = plant.zones[zone]!.climate
      const led = climate.kind === 'conditioned' && climate.vent === source.id
      const blown = led ? supply[zone]! : coolerOn[zone] ? source.supply.cooling : source.supply.heating
      if (active[i]) {
        gain[zone]! += source.flow * (blown - here)
        target = blown
      }
    } else if (active[i]) {
      gain[zone]! += source.power
      target += source.plume
    }
    beside[i]! += (target - beside[i]!) * (1 - Math.exp(-h / source.lag))
  }

  return {
    air,
    mass,
    active,
    beside,
    zoneOf,
    /** opens or shuts a door by hand (starts or stops another source); null gives it back to its own day */
    setByHand: (source: string, state: boolean | null): void => {
      const found = sources.find(s => s.plant.id === source)
      if (!found) throw new RangeError(`no source "${source}"; there are ${plant.sources.map(s => s.id).join(', ')}`)
      found.activity.setByHand(state)
    },
    /**
     * @param time ms; scenarios go by it
     * @param h s
     * @param waste W of the machines, by zone
     */
    step: (time: number, local: LocalTime, h: number, weather: Weather, waste: Float64Array): void => {
      const working = isWorkingTime(plant, local)
      const heated = changes.heated(time) ?? working
      for (let z = 0; z < air.length; z++) {
        const zone = plant.zones[z]!
        const climate = climates[z]!(air[z]!, h, time / 1000, heated)
        heaterOn[z] = climate.heaterOn
        coolerOn[z] = climate.coolerOn
        supply[z] = climate.supply
        gain[z] =
          climate.heat +
          zone.toOutdoors * (weather.outdoors - air[z]!) +
          zone.sun * weather.sun +
          changes.people(working, time) * zone.people +
          waste[z]! +
          zone.massLink * (mass[z]! - air[z]!)
      }
      for (const { a, b, exchange } of mixing) {
        const flow = exchange * (air[b]! - air[a]!)
        gain[a]! += flow
        gain[b]! -= flow
      }
      for (let i = 0; i < sources.length; i++) {
        active[i] = sources[i]!.activity.at(time, local, heaterOn[sources[i]!.zone]!)
        stepSource(i, h, weather.outdoors)
      }
      for (let z = 0; z < air.length; z++) {
        const zone = plant.zones[z]!
        mass[z]! += (h * zone.massLink * (air[z]! - mass[z]!)) / zone.massCapacity
        air[z]! += (h * gain[z]!) / zone.airCapacity
      }
    },
  }
}
export type Building = ReturnType<typeof createBuilding>
