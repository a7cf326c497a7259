import { randomStream } from './random.js'

/**
 * A spindle as bodies that warm each other: bearings, housing and, where there is one, the head that carries it. Friction
 * rises with a power of the speed and falls as the oil thins; a turning spindle stirs the air that cools it. Temperatures
 * are above the surroundings, which stay as they are.
 */
export interface SpindlePlant {
  /** J/K of bearings, housing and head (0: none) */
  capacities: [number, number, number]
  /** W/K from bearings to housing, from housing to head, and from the outermost body to the air at rest */
  conductances: [number, number, number]
  /** W of friction, cold, at the highest speed */
  friction: number
  /** power of the speed it goes with */
  power: number
  /** 1/K; part of the friction lost for each kelvin of the bearings */
  thinning: number
  /** how much more the outermost body loses at the highest speed, as a part */
  stirring: number
  /** m/K; how much each body's warmth lengthens the spindle */
  reach: [number, number, number]
  /** s; how long growth takes to show */
  deadTime: number
  /** 1/s */
  highest: number
}

/** An ordinary milling spindle, invented: some 0.05 mm at 12,000 1/min after an hour or two. */
export const ordinarySpindle: SpindlePlant = {
  capacities: [1500, 12_000, 0],
  conductances: [5, 0, 5],
  friction: 130,
  power: 1.4,
  thinning: 0.004,
  stirring: 0.3,
  reach: [0.55e-6, 2.2e-6, 0],
  deadTime: 0,
  highest: 200,
}

/** Another spindle for every seed, each figure up to a third or so away from the ordinary one. */
export const randomSpindle = (seed: number): SpindlePlant => {
  const random = randomStream(seed, 'spindle')
  const about = (value: number) => value * Math.exp(random.between(-0.35, 0.35))
  const { capacities, conductances, reach, friction } = ordinarySpindle
  return {
    ...ordinarySpindle,
    capacities: [about(capacities[0]), about(capacities[1]), 0],
    conductances: [about(conductances[0]), 0, about(conductances[2])],
    reach: [about(reach[0]), about(reach[1]), 0],
    friction: about(friction),
    power: random.between(1.1, 1.7),
    thinning: random.between(0, 0.006),
    stirring: random.between(0, 0.6),
  }
}

/** The spindle with a head that warms slowly behind it: three time constants. */
export const withHead = (plant: SpindlePlant): SpindlePlant => ({
  ...plant,
  capacities: [plant.capacities[0], plant.capacities[1], 60_000],
  conductances: [plant.conductances[0], 4, 6],
  reach: [plant.reach[0], plant.reach[1], 0.8e-6],
})

/** Speeds (1/s) one after another, and durations (s). */
type Steps = readonly { speed: number; duration: number }[]

/**
 * Growth of a spindle that was cold.
 *
 * @param times s since the first step began, rising
 * @returns m
 */
export const spindleGrowth = (plant: SpindlePlant, steps: Steps, times: readonly number[]): number[] => {
  const { capacities, conductances, reach, highest } = plant
  const head = capacities[2] > 0
  const rate = ([bearings, housing, outer]: readonly number[], speed: number): [number, number, number] => {
    const turning = speed / highest
    const heat = plant.friction * turning ** plant.power * Math.max(0, 1 - plant.thinning * bearings!)
    const inward = conductances[0] * (bearings! - housing!)
    const onward = head ? conductances[1] * (housing! - outer!) : 0
    const lost = conductances[2] * (1 + plant.stirring * Math.sqrt(turning)) * (head ? outer! : housing!)
    return [
      (heat - inward) / capacities[0],
      (inward - onward - (head ? 0 : lost)) / capacities[1],
      head ? (onward - lost) / capacities[2] : 0,
    ]
  }
  let warmth: number[] = [0, 0, 0]
  // Heun's steps of at most two seconds: bodies answer in minutes
  const go = (speed: number, duration: number) => {
    const count = Math.max(1, Math.ceil(duration / 2))
    const h = duration / count
    for (let i = 0; i < count; i++) {
      const first = rate(warmth, speed)
      const second = rate(
        warmth.map((x, k) => x + h * first[k]!),
        speed,
      )
      warmth = warmth.map((x, k) => x + (h / 2) * (first[k]! + second[k]!))
    }
  }
  let [step, into, now] = [0, 0, 0]
  return times.map(asked => {
    const at = Math.max(0, asked - plant.deadTime)
    while (now < at && step < steps.length) {
      const { speed, duration } = steps[step]!
      const ahead = Math.min(at - now, duration - into)
      if (ahead > 0) go(speed, ahead)
      now += ahead
      into += ahead
      if (into >= duration - 1e-9) {
        step++
        into = 0
      }
    }
    return warmth.reduce((sum, x, k) => sum + x * reach[k]!, 0)
  })
}

/**
 * What somebody with an indicator reads of it.
 *
 * @param resolution m; step of the indicator
 * @param scatter m; standard deviation of a reading before it is rounded
 */
export const indicatorReadings = (
  growth: readonly number[],
  seed: number,
  resolution = 1e-6,
  scatter = 0.5e-6,
): number[] => {
  const random = randomStream(seed, 'indicator')
  return growth.map(value => Math.round((value + scatter * random.normal()) / resolution) * resolution)
}
