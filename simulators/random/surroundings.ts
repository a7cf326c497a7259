import type { Plant, SourcePlant, WeatherPlant, ZonePlant } from '../plant.js'
import type { Random } from '../random.js'
import { chance, oneOf, rounded } from './draws.js'

const DAY = 86_400

interface Region {
  kind: 'continental' | 'maritime' | 'hot' | 'northern'
  timeZones: string[]
  yearMean: [number, number]
  season: [number, number]
  daySwing: { winter: [number, number]; summer: [number, number] }
  spread: [number, number]
}

/** Invented climates of the northern half; the numbers are usual for their kind (from memory). */
const regions: Region[] = [
  {
    kind: 'continental',
    timeZones: ['Europe/Vienna', 'Europe/Warsaw', 'America/Chicago', 'America/Detroit'],
    yearMean: [7, 12],
    season: [10, 14],
    daySwing: { winter: [2.5, 4], summer: [5, 8] },
    spread: [3, 4.5],
  },
  {
    kind: 'maritime',
    timeZones: ['Europe/London', 'Europe/Amsterdam', 'America/Vancouver'],
    yearMean: [9, 13],
    season: [5, 7.5],
    daySwing: { winter: [1.5, 2.5], summer: [3, 5] },
    spread: [2, 3],
  },
  {
    kind: 'hot',
    timeZones: ['Europe/Madrid', 'America/Phoenix', 'Asia/Kolkata'],
    yearMean: [16, 23],
    season: [6, 11],
    daySwing: { winter: [4, 6], summer: [6, 9] },
    spread: [2, 3],
  },
  {
    kind: 'northern',
    timeZones: ['Europe/Helsinki', 'Europe/Stockholm', 'America/Winnipeg'],
    yearMean: [2, 6],
    season: [11, 15],
    daySwing: { winter: [2, 4], summer: [5, 7] },
    spread: [3.5, 5],
  },
]

/** how many shops cool their hall in summer */
const cooledShare: Record<Region['kind'], number> = { continental: 0.85, maritime: 0.5, hot: 1, northern: 0.5 }

export interface Surroundings
  extends Pick<Plant, 'weather' | 'zones' | 'mixing' | 'sources' | 'workingHours' | 'timeZone'> {
  climate: Region['kind']
}

const weatherOf = (random: Random, region: Region): WeatherPlant => ({
  yearMean: random.between(...region.yearMean),
  season: random.between(...region.season),
  daySwing: {
    winter: random.between(...region.daySwing.winter),
    summer: random.between(...region.daySwing.summer),
  },
  airMasses: { spread: random.between(...region.spread), memory: random.between(1.5, 4) * DAY },
})

/** A hall's zone. Its heater carries the coldest usual day, its cooler (where there is one) the hottest. */
const hallZone = (random: Random, id: string, weather: WeatherPlant, house: House): ZonePlant => {
  const size = random.between(0.6, 1.5)
  const toOutdoors = 600 * size * house.leak
  const sun = random.between(1500, 9000) * size
  const coldest = weather.yearMean - weather.season - 2 * weather.airMasses.spread
  const hottest = weather.yearMean + weather.season + weather.daySwing.summer + weather.airMasses.spread
  // the opened door, the vent and warming the floor up in the morning ask for more than the walls do
  const heater = 12_000 * size + 1.6 * (toOutdoors + 300) * Math.max(6, house.day - coldest)
  const cooler = house.cooled ? 15_000 * size + 1.4 * (toOutdoors * Math.max(0, hottest - house.day) + sun) : 0
  return {
    id,
    airCapacity: 8e6 * size,
    massCapacity: random.between(50e6, 140e6) * size,
    massLink: random.between(2000, 4000) * size,
    toOutdoors,
    sun,
    people: random.between(500, 2000),
    climate: {
      kind: 'thermostat',
      day: house.day,
      night: house.day - house.setback,
      band: house.band,
      heater,
      cooler,
      nightCooling: house.day + random.between(1, 4),
      lag: random.between(60, 300),
    },
  }
}

interface House {
  leak: number
  day: number
  setback: number
  band: number
  cooled: boolean
}

const conditionedRoom = (random: Random): ZonePlant => ({
  id: 'fine-room',
  airCapacity: 4e6,
  massCapacity: random.between(30e6, 70e6),
  massLink: 1500,
  toOutdoors: random.between(30, 120),
  sun: 0,
  people: random.between(200, 500),
  climate: {
    kind: 'conditioned',
    set: rounded(random, 19.5, 20.5, 0.5),
    vent: 'room-vent',
    gain: random.between(3, 4.5),
    resetTime: random.between(1200, 3000),
    ripple: random.between(0.3, 1.5),
    period: random.between(10, 25) * 60,
  },
})

const door = (random: Random, id: string, zone: string): SourcePlant => ({
  kind: 'door',
  id,
  zone,
  open: random.between(800, 2400),
  shut: random.between(10, 40),
  besideOpen: random.between(0.5, 0.8),
  besideShut: random.between(0.02, 0.08),
  lag: 60,
  deliveries: {
    number: oneOf<[number, number]>(random, [
      [0, 2],
      [2, 5],
      [4, 9],
    ]),
    minutes: oneOf<[number, number]>(random, [
      [2, 6],
      [3, 14],
      [8, 30],
    ]),
    hours: [6.5, 16.5],
  },
})

const hallSources = (random: Random, halls: readonly ZonePlant[]): SourcePlant[] => {
  const anywhere = () => oneOf(random, halls).id
  const sources: SourcePlant[] = [door(random, 'dock-door', anywhere())]
  if (chance(random, 0.5)) sources.push(door(random, 'yard-door', anywhere()))
  if (chance(random, 0.6))
    sources.push({
      kind: 'vent',
      id: 'supply-vent',
      zone: anywhere(),
      flow: random.between(400, 1100),
      hours: chance(random, 0.7) ? [rounded(random, 4, 6, 0.5), rounded(random, 17, 21, 0.5)] : 'always',
      supply: { heating: random.between(18, 22), cooling: random.between(14, 17) },
      lag: 120,
    })
  sources.push({
    kind: 'heat source',
    id: 'compressor',
    zone: anywhere(),
    power: random.between(2000, 7000),
    plume: random.between(5, 12),
    lag: 120,
    activity: { kind: 'cycling', on: [4, 12], off: [5, 20], hours: [6, rounded(random, 15, 20, 1)] },
  })
  if (chance(random, 0.35))
    sources.push({
      kind: 'heat source',
      id: 'oven',
      zone: anywhere(),
      power: random.between(2000, 5000),
      plume: random.between(4, 8),
      lag: 1500,
      activity: {
        kind: 'daily',
        hours: [rounded(random, 7, 9, 0.5), rounded(random, 12, 16, 0.5)],
        weekdays: oneOf(random, [
          [1, 2, 3, 4, 5],
          [2, 4],
          [1, 3, 5],
        ]),
      },
    })
  if (chance(random, 0.5))
    sources.push({
      kind: 'heat source',
      id: 'heater',
      zone: anywhere(),
      power: 0,
      plume: random.between(6, 14),
      lag: 150,
      activity: { kind: 'heater of its zone' },
    })
  return sources
}

/**
 * Weather, building and what disturbs it, drawn anew for a shop: one to three zones of a hall, half of the shops with a
 * conditioned room beside it, a tenth with hardly anything else.
 */
export const randomSurroundings = (random: Random): Surroundings => {
  const region = oneOf(random, regions)
  const weather = weatherOf(random, region)
  const house: House = {
    leak: oneOf(random, [0.5, 0.8, 1.1, 1.6]) * random.between(0.85, 1.15),
    day: rounded(random, 19, 22, 0.5),
    setback: oneOf(random, [0, 0, 1.5, 3, 5]),
    band: random.between(0.2, 0.7),
    cooled: chance(random, cooledShare[region.kind]),
  }
  const halls = ['hall-south', 'hall-middle', 'hall-north']
    .slice(0, oneOf(random, [1, 2, 3]))
    .map(id => hallZone(random, id, weather, house))
  const zones = [...halls]
  const mixing: Plant['mixing'] = halls
    .slice(1)
    .map((zone, i) => ({ between: [halls[i]!.id, zone.id], exchange: random.between(700, 2000) }))
  const sources = hallSources(random, halls)
  if (chance(random, 0.5)) {
    zones.push(conditionedRoom(random))
    mixing.push({ between: [oneOf(random, halls).id, 'fine-room'], exchange: random.between(40, 150) })
    sources.push({
      kind: 'vent',
      id: 'room-vent',
      zone: 'fine-room',
      flow: 3000,
      hours: 'always',
      supply: { heating: 20, cooling: 20 },
      lag: 90,
    })
  }
  return {
    climate: region.kind,
    timeZone: oneOf(random, region.timeZones),
    workingHours: {
      weekdays: chance(random, 0.7) ? [1, 2, 3, 4, 5] : [1, 2, 3, 4, 5, 6],
      from: rounded(random, 4.5, 6.5, 0.5),
      to: rounded(random, 15, 21, 0.5),
    },
    weather,
    zones,
    mixing,
    sources,
  }
}
