import { createWander, type Random } from '../../../simulators/random.js'

export const hour = 3600
export const day = 24 * hour

/** Weather, heating, doors and sun of a building, stepped by the second; the shop knows nothing of it but temperatures. */
export const createBuilding = (random: Random) => {
  const season = random.between(-2, 22)
  const swing = random.between(2, 7)
  const fronts = createWander(random, random.between(2, 4), 2.5 * day)
  const cloud = createWander(random, 0.5, 3 * hour)
  const eddies = createWander(random, random.between(0.03, 0.15), random.between(120, 900))
  const set = random.between(19.5, 22)
  const setback = random.uniform() < 0.5 ? random.between(1, 4) : 0
  const hysteresis = random.between(0.15, 0.6)
  const power = random.between(3, 8) / hour
  const leak = 1 / (random.between(6, 30) * hour)
  const wall = 1 / (random.between(0.5, 2) * hour)
  const doors = random.between(0, 2.5) / hour
  const draught = random.between(0.02, 0.2)
  // some shops shut for days
  const shut = random.uniform() < 0.2 ? random.between(9, 18) * day : Number.POSITIVE_INFINITY
  const opensAgain = shut + random.between(4, 9) * day
  let air = set
  let mass = set
  let outdoors = season
  let heating = false
  let doorShuts = 0

  /** @param t s since midnight of a Monday */
  const step = (t: number, h: number) => {
    const of = (t % day) / hour
    const weekday = Math.floor(t / day) % 7
    const isShut = t > shut && t < opensAgain
    const working = weekday < 5 && of >= 6 && of < 20 && !isShut
    const cloudy = Math.min(1, Math.max(0, 0.5 + cloud.advance(h)))
    outdoors = season + fronts.advance(h) - swing * Math.cos((2 * Math.PI * (of - 3)) / 24) * (1.2 - 0.6 * cloudy)
    const wanted = isShut ? set - 4 : of >= 5 && of < 19 && weekday < 5 ? set : set - setback
    if (air < wanted - hysteresis) heating = true
    if (air > wanted + hysteresis) heating = false
    if (working && random.uniform() < doors * (h / hour)) doorShuts = t + random.between(30, 900)
    const open = t < doorShuts ? (random.between(0.5, 1.5) * draught) / 60 : 0
    air += h * (leak * (outdoors - air) + wall * (mass - air) + (heating ? power : 0) + open * (outdoors - air))
    mass += (h / (random.between(0.95, 1.05) * 20 * hour)) * (air - mass)
    const sun = Math.max(0, Math.sin((Math.PI * (of - 7)) / 10)) * (1 - cloudy)
    return { outdoors, air: air + eddies.advance(h), floor: 0.7 * mass + 0.3 * outdoors, sun, working, of, weekday }
  }
  return { step }
}
export type Around = ReturnType<ReturnType<typeof createBuilding>['step']>

/** A place of a site: what the shop file says of its node, and its temperature as it is. */
export interface BedPlace {
  id: string
  kind: 'body' | 'air' | 'coolant'
  /** s; as somebody would state it */
  timeConstant?: number
  /** it carries an axis: a screw */
  isScrew?: boolean
  /** °C */
  at: () => number
}

/** A machine, or what is used as one. */
export interface Site {
  places: BedPlace[]
  step: (t: number, h: number, around: Around) => void
}
