import type { Courses, MachineOverSpan } from '../../../core/shop-model/index.js'

/** What the hall is like; what is left out is as in `usual`. */
export interface Hall {
  /** W/K through the dock door when it is open; W of the oven when it runs */
  door?: number
  oven?: number
  /** the oven runs from seven to one each day, and not at odd times */
  daily?: boolean
  /** the yard door is opened whenever the dock door is: W/K */
  yard?: number
  /** index from which the dock door (and the yard door with it) stays shut; never if not given */
  shutFrom?: number
  /** indices between which the dock door stands open */
  standsOpen?: { from: number; to: number }
  /** index from which the oven runs all the time, or not at all */
  ovenThen?: { from: number; runs: boolean }
  /** °C of the outdoors from an index on: they stay as they are */
  outdoorsThen?: { from: number; at: number }
  days?: number
  /** a thermostat of 20 °C with a strong heater, 16 °C out of working hours, in place of a steady heating */
  thermostat?: boolean
}

/** Evenly distributed numbers in 0..1: mulberry32, public domain. */
const uniform = (seed: number) => {
  let a = seed >>> 0
  return () => {
    a = (a + 0x6d2b79f5) | 0
    let t = Math.imul(a ^ (a >>> 15), 1 | a)
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
}

const spacing = 300
const h = 30
/**
 * J/K of the air, W/K to a floor of its own, J/K of that, W/K through the walls, W/K of a heating that holds 20 °C, W of one that a
 * thermostat switches
 */
const hall = { air: 7e6, link: 2500, floor: 80e6, walls: 500, heating: 1200, heater: 25_000 }

/**
 * A hall whose heat balance is integrated every half minute: a dock door that is opened at odd times, an oven, walls, a floor and
 * a heating, a machine whose air is the hall's with a little of its own, and a body of an hour that follows it.
 *
 * @returns five-minute means as sensors would give them, from Monday 0:00 on
 */
export const inventedHall = (seed: number, settings: Hall = {}) => {
  const {
    door = 1500,
    oven = 3000,
    daily = false,
    yard = 0,
    shutFrom = Number.POSITIVE_INFINITY,
    days = 10,
    standsOpen,
    ovenThen,
    outdoorsThen,
  } = settings
  let heaterOn = false
  const u = uniform(seed)
  const normal = () => Math.sqrt(-2 * Math.log(1 - u())) * Math.cos(2 * Math.PI * u())
  const length = days * 288
  const course = () => new Float64Array(length)
  const all = {
    hall: course(),
    machine: course(),
    body: course(),
    out: course(),
    dock: course(),
    oven: course(),
    yard: course(),
  }
  let [air, floor, body, weather, eddy, doorLeft, ovenLeft] = [20, 20, 20, 0, 0, 0, 0]
  for (let i = 0; i < length; i++)
    for (let j = 0; j < spacing / h; j++) {
      const hour = (((i * spacing + j * h) / 3600) % 24) + 0
      weather += (-weather * h) / 86_400 + 3 * Math.sqrt((2 * h) / 86_400) * normal()
      const usualOut = 2 + 4 * Math.cos((2 * Math.PI * (hour - 15)) / 24) + weather
      const out = i >= (outdoorsThen?.from ?? length) ? outdoorsThen!.at : usualOut
      // opened three times a day for a quarter of an hour or so, the oven run twice for one to three hours, at any hour
      if (u() < (3 * h) / 86_400) doorLeft = 600 + 1200 * u()
      if (u() < (2 * h) / 86_400) ovenLeft = 3600 + 7200 * u()
      doorLeft -= h
      ovenLeft -= h
      const open = doorLeft > 0 || (i >= (standsOpen?.from ?? length) && i < standsOpen!.to)
      const usually = daily ? hour >= 7 && hour < 13 : ovenLeft > 0
      const runs = ovenThen && i >= ovenThen.from ? ovenThen.runs : usually
      const really = open && i < shutFrom ? door + yard : 0
      const day = Math.floor(i / 288) % 7
      const set = day < 5 && hour >= 6 && hour < 18 ? 20 : 16
      if (air < set - 0.3 || air > set + 0.3) heaterOn = air < set
      const heating = settings.thermostat ? Number(heaterOn) * hall.heater : hall.heating * (20 - air)
      const heat =
        hall.walls * (out - air) +
        really * (out - air) +
        (runs ? oven : 0) +
        hall.link * (floor - air) +
        heating +
        hall.walls * 18
      floor += (h * hall.link * (air - floor)) / hall.floor
      air += (h * heat) / hall.air
      eddy += (-eddy * h) / 600 + 0.08 * Math.sqrt((2 * h) / 600) * normal()
      body += (air + eddy - body) * (1 - Math.exp(-h / 3600))
      const part = h / spacing
      all.hall[i]! += part * air
      all.machine[i]! += part * (air + eddy)
      all.body[i]! += part * body
      all.out[i]! += part * out
      all.dock[i]! += part * Number(open && i < shutFrom)
      all.yard[i]! += part * Number(open && i < shutFrom)
      all.oven[i]! += part * Number(runs)
    }
  const noisy = (values: Float64Array) => values.map(value => value + 0.02 * normal())
  const [hallAir, machineAir, bodyTemperature] = [noisy(all.hall), noisy(all.machine), noisy(all.body)]
  const courses: Courses = {
    from: Date.UTC(2026, 0, 12),
    spacing,
    length,
    places: [
      { id: 'hall', kind: 'shop air', machine: null, temperature: hallAir },
      { id: 'mill/air', kind: 'machine air', machine: 'mill', temperature: machineAir },
    ],
    outdoors: noisy(all.out),
    sources: [
      { id: 'dock', name: 'Dock door', kind: 'door', state: all.dock, beside: null },
      { id: 'oven', name: 'Oven', kind: 'heat source', state: all.oven, beside: null },
      ...(yard > 0 ? [{ id: 'yard', name: 'Yard door', kind: 'door' as const, state: all.yard, beside: null }] : []),
    ],
    hour: Float64Array.from({ length }, (_, i) => (((i + 0.5) * spacing) / 3600) % 24),
    weekday: Uint8Array.from({ length }, (_, i) => Math.floor(i / 288) % 7),
    works: Uint8Array.from({ length }, (_, i) => Number(Math.floor(i / 288) % 7 < 5)),
  }
  const machine: MachineOverSpan = {
    id: 'mill',
    nodes: [
      { id: 'air', name: 'air', kind: 'air', temperature: machineAir, timeConstant: 0, uncertainty: 0 },
      {
        ...{ id: 'screw', name: 'X screw', kind: 'body', follows: 'air' },
        ...{ temperature: bodyTemperature, timeConstant: 3600, uncertainty: 0.05 },
      },
    ],
    growth: temperatures => 11.5e-6 * 0.4 * (temperatures[1]! - 20),
  }
  return { courses, machine, truth: { body: all.body } }
}
