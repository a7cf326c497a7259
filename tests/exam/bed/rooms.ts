import { createWander, type Random } from '../../../simulators/random.js'
import { type Around, type BedPlace, hour, type Site } from './surroundings.js'

/** A room: its air over slow walls, with its own heater, sun, people and window. */
const createRoom = (random: Random, start: number) => {
  let air = start
  let walls = start
  let heater = false
  let opened = 0
  let people = false
  let until = 0
  const set = random.between(18, 22)
  const hysteresis = random.between(0.2, 0.8)
  const heat = random.between(1, 8) / hour
  const sunny = random.uniform() < 0.6 ? random.between(0.5, 4) / hour : 0
  const warmth = random.between(0.2, 1.5) / hour
  const toWalls = 1 / (random.between(0.2, 1) * hour)
  const toHall = random.between(0, 0.8) / hour
  const windows = random.between(0.05, 0.5) / hour
  const eddies = createWander(random, random.between(0.02, 0.1), 300)
  return {
    at: () => air + eddies.value(),
    step: (t: number, h: number, hall: number, { outdoors, sun, of }: Around) => {
      eddies.advance(h)
      const wanted = of > 6 && of < 22 ? set : set - 2
      if (air < wanted - hysteresis) heater = true
      if (air > wanted + hysteresis) heater = false
      if (t >= until) {
        until = t + random.between(0.2, 3) * hour
        people = of > 6 && of < 23 && random.uniform() < 0.5
      }
      if (people && random.uniform() < windows * (h / hour)) opened = t + random.between(300, 1800)
      const window = t < opened ? 1.5 / hour : 0.05 / hour
      air +=
        h *
        (toWalls * (walls - air) +
          toHall * (hall - air) +
          window * (outdoors - air) +
          (heater ? heat : 0) +
          sunny * sun +
          (people ? warmth : 0))
      walls += (h / (15 * hour)) * (0.85 * air + 0.15 * outdoors - walls)
    },
  }
}

/** Rooms of a house used as bodies that follow the air of its hall, with time constants somebody guessed. */
export const createRooms = (random: Random, start: number): Site => {
  const rooms = Array.from({ length: 5 }, () => createRoom(random, start))
  let hall = start
  const guessed = random.between(0.7, 3) * hour
  const places: BedPlace[] = rooms.map(({ at }, i) => ({
    id: `room-${i + 1}`,
    kind: 'body',
    timeConstant: guessed,
    at,
  }))
  return {
    places: [{ id: 'air', kind: 'air', at: () => hall }, ...places],
    step: (t, h, around) => {
      const mean = rooms.reduce((sum, room) => sum + room.at(), 0) / rooms.length
      hall += (h / (0.5 * hour)) * (0.5 * mean + 0.5 * around.air - hall)
      for (const room of rooms) room.step(t, h, hall, around)
    },
  }
}
