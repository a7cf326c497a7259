import { createWander, type Random } from '../../../simulators/random.js'
import { type Around, type BedPlace, day, hour, type Site } from './surroundings.js'

/** Work of a machine: jobs of minutes or hours that begin and break off as they like. */
const createJobs = (random: Random) => {
  const busy = random.between(0.3, 0.95)
  const saturdays = random.uniform() < 0.3
  const longest = random.between(1, 5) * hour
  let until = 0
  let load = 0
  let speed = 0
  let nut = 0.5
  let stroke = 0.2
  return (t: number, { working, weekday, of }: Around) => {
    const present = working || (saturdays && weekday === 5 && of > 6 && of < 13)
    if (t >= until) {
      const works = present && random.uniform() < busy
      until = t + (works ? random.between(240, longest) : random.between(120, 1.5 * hour))
      load = works ? random.between(0.15, 1) ** (random.uniform() < 0.5 ? 2 : 1) : 0
      speed = works ? random.between(0.1, 1) : 0
      nut = random.between(0.2, 0.8)
      stroke = random.between(0.05, 0.3)
    }
    if (!present) until = Math.min(until, t)
    return present ? { load, speed, nut, stroke } : { load: 0, speed: 0, nut, stroke }
  }
}

const cells = 10

/**
 * A ball screw: a rod in pieces that a moving nut heats where it runs, under a skin that it heats by kelvins within
 * minutes; after work the skin cools in minutes, the rod within an hour or more.
 */
const createScrew = (random: Random, start: number) => {
  const rod = new Float64Array(cells).fill(start)
  const heat = random.between(2, 9) / hour
  const toAir = 1 / (random.between(0.6, 1.8) * hour)
  const along = 1 / random.between(400, 1500)
  const skinRise = random.between(0.5, 3)
  const skinTime = random.between(120, 480)
  const where = Math.floor(random.between(1, cells - 1))
  let skin = 0
  let nutTime = 0
  return {
    toAir,
    at: () => rod[where]! + skin,
    step: (h: number, air: number, { load, nut, stroke }: { load: number; nut: number; stroke: number }) => {
      nutTime += h
      const place = nut + stroke * Math.sin(nutTime / 7)
      const near = (x: number, wide: number) => Math.exp(-(((x - place) / wide) ** 2))
      const cooling = toAir * (1 + 1.5 * load)
      let before = rod[0]!
      for (let i = 0; i < cells; i++) {
        const here = rod[i]!
        const next = i + 1 < cells ? rod[i + 1]! : here
        const x = (i + 0.5) / cells
        rod[i] =
          here + h * (cooling * (air - here) + along * (before + next - 2 * here) + heat * load * 1.6 * near(x, 0.25))
        before = here
      }
      skin += (1 - Math.exp(-h / skinTime)) * (skinRise * load * near((where + 0.5) / cells, 0.35) - skin)
    },
  }
}

/** A casting or housing: a skin that feels air, sun and heat beside it quickly, over a core that is slow. */
const createCasting = (random: Random, start: number, slow: number) => {
  let core = start
  let skin = 0
  const skinTime = random.between(240, 1500)
  const feels = random.between(0, 0.3)
  // it stands on the floor, or feels the walls
  const stands = random.between(0, 0.12)
  const washed = random.uniform() < 0.3 ? random.between(0.1, 0.5) / day : 0
  let wet = 0
  const exposed = random.uniform() < 0.2 ? random.between(1, 4) : 0
  return {
    at: () => core + skin,
    /** @param own K that heat beside it makes in the end @param quick K of it that its surface shows within minutes */
    step: (h: number, { sun, floor, working }: Around, air: number, own: number, quick: number) => {
      core += (h / slow) * (air + stands * (floor - air) + own - core)
      // somebody hoses it down, or sets cold stock beside it
      if (working && random.uniform() < washed * h) wet = random.between(-4, 1)
      wet *= Math.exp(-h / 900)
      skin += (1 - Math.exp(-h / skinTime)) * (feels * (air - core) + exposed * sun + quick + wet - skin)
    },
  }
}

/** A machining centre: two screws, column, bed, spindle, air beside it and coolant. */
export const createMill = (random: Random, start: number): Site => {
  const jobs = createJobs(random)
  const screws = [createScrew(random, start), createScrew(random, start)]
  const slow = {
    column: random.between(1.5, 5) * hour,
    bed: random.between(4, 12) * hour,
    spindle: random.between(0.6, 1.5) * hour,
  }
  const column = createCasting(random, start, slow.column)
  const bed = createCasting(random, start, slow.bed)
  const spindle = createCasting(random, start, slow.spindle)
  const rise = {
    column: random.between(0.2, 1.5),
    bed: random.between(0, 0.6),
    spindle: random.between(2, 9),
    quick: random.between(0.3, 3),
  }
  const warms = random.between(0, 0.8)
  const eddies = createWander(random, random.between(0.02, 0.12), random.between(60, 600))
  const chills = random.uniform() < 0.5
  let air = start
  let coolant = start
  let chiller = false
  const stated = (seconds: number) => seconds * Math.exp(0.3 * random.bounded(1.5))
  const body = (id: string, timeConstant: number, at: () => number, isScrew = false): BedPlace => ({
    id,
    kind: 'body',
    timeConstant: stated(timeConstant),
    isScrew,
    at,
  })
  return {
    places: [
      { id: 'air', kind: 'air', at: () => air },
      body('x-screw', 1 / screws[0]!.toAir, screws[0]!.at, true),
      body('y-screw', 1 / screws[1]!.toAir, screws[1]!.at, true),
      body('column', slow.column, column.at),
      body('bed', slow.bed, bed.at),
      body('spindle', slow.spindle, spindle.at),
      { id: 'coolant', kind: 'coolant', at: () => coolant },
    ],
    step: (t, h, around) => {
      const job = jobs(t, around)
      air += (1 - Math.exp(-h / 400)) * (around.air + warms * job.load - air)
      air += eddies.advance(h) * (1 - Math.exp(-h / 300))
      for (const screw of screws) screw.step(h, air, job)
      column.step(h, around, air, rise.column * job.load, 0)
      const wet = job.load > 0 ? 0.5 * (coolant - bed.at()) : 0
      bed.step(h, around, air, rise.bed * job.load + 2 * wet, 0.1 * wet)
      spindle.step(h, around, air, rise.spindle * job.speed ** 1.5, rise.quick * job.speed)
      if (chills && coolant > 20.5) chiller = true
      if (coolant < 20) chiller = false
      coolant += (h / (2.5 * hour)) * (air - coolant) + (h / hour) * (2 * job.load - (chiller ? 4 : 0))
    },
  }
}
