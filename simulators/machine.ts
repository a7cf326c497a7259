import { assemble, meanOver, stretchOver } from './assembly.js'
import type { Duty } from './duty.js'
import { ThermalNetwork } from './network.js'
import type { CoolantPlant, MachinePlant, Measured } from './plant.js'
import { createWander, type Random } from './random.js'
import { type AxisTruth, createTruth } from './truth.js'

/** s; longest step when a machine is run on under held conditions */
const HELD_STEP = 300
/** s; held conditions are what reached the machine lately, not a gust or a job's first second */
const LATELY = 300

/** The coolant's level approaches what its chiller (or, switched off, the air) makes of it; both are °C. */
const coolantLevel = (
  plant: CoolantPlant,
  level: number,
  air: number,
  duty: number,
  on: boolean,
  h: number,
): number => {
  const target = on ? plant.set + plant.towardsAir * (air - plant.set) + plant.dutyRise * duty : air
  return level + (target - level) * (1 - Math.exp(-h / (on ? plant.settle : plant.idle)))
}

/** K; a saw to and fro of the chiller's cycling */
const coolantRipple = (plant: CoolantPlant, seconds: number): number => {
  const phase = (((seconds / plant.period) % 1) + 1) % 1
  return plant.ripple * (phase < 0.5 ? 4 * phase - 1 : 3 - 4 * phase)
}

/** What is held when a machine is run on: conditions of this instant, or those of the last few minutes. */
export type HeldConditions = 'now' | 'lately'

/** What would be true of a machine `ahead` s from now if conditions stayed. */
export interface HeldState {
  ahead: number
  axes: Record<string, AxisTruth>
  /** °C */
  partTemperature: number
}

/** The air around a machine, °C: of its zone, and beside each source that reaches it, in the order of its influences. */
export interface Surroundings {
  zone: number
  beside: Float64Array
}

/**
 * One machine: the air that reaches it, its coolant, its thermal network, its workpiece, and the true growth of its axes.
 *
 * @param start °C of everything at the beginning
 */
export const createMachine = (plant: MachinePlant, random: Random, start: number) => {
  const { nodes, network, bodyOf, strips } = assemble(plant, start)
  const held = new ThermalNetwork(nodes, start)
  const axes = createTruth(plant, { strips, bodyOf })
  const eddies = createWander(random, plant.eddies.spread, plant.eddies.memory)
  const spindle = bodyOf(plant.spindle.body).core
  const bearings = plant.axes.map(axis => (axis.measuring.kind === 'screw' ? bodyOf(axis.measuring.bearing).core : -1))

  let nearness = 0
  let mixed = start
  let air = start
  let level = plant.coolant?.set ?? start
  let coolant = level
  let chillerOn = true
  let workpiece = start
  let spindleDuty = 0
  let motion = Number.NaN
  const lately = { air: start, spindle: 0, motion: 0, chiller: 1 }

  const setMotion = (of: ThermalNetwork, next: number): void => {
    plant.axes.forEach((axis, i) => {
      if (axis.measuring.kind !== 'screw') return
      const strip = strips[i]!
      of.toAir.fill(strip.toAir * (1 + axis.measuring.motionFilm * next), strip.first, strip.first + strip.cells)
    })
    of.changed()
  }

  const setHeat = (of: ThermalNetwork, duty: Duty): void => {
    of.heat.fill(0)
    of.heat[spindle]! += plant.spindle.heat * duty.spindle
    plant.axes.forEach((axis, i) => {
      if (axis.measuring.kind !== 'screw') return
      const strip = strips[i]!
      of.heat[bearings[i]!]! += axis.measuring.bearingHeat * duty.motion
      const rubbing = axis.measuring.nutHeat * duty.motion
      for (let k = 0; k < strip.cells; k++) of.heat[strip.first + k]! += strip.friction[k]! * rubbing
    })
  }

  const step = (time: number, h: number, around: Surroundings, duty: Duty, working: boolean): void => {
    let pull = 0
    for (let i = 0; i < plant.influences.length; i++)
      pull += plant.influences[i]!.share * (around.beside[i]! - around.zone)
    nearness += (pull - nearness) * (1 - Math.exp(-h / plant.mixing))
    mixed = around.zone + nearness
    air = mixed + eddies.advance(h)
    spindleDuty = duty.spindle
    if (plant.coolant) {
      chillerOn = plant.coolant.chiller === 'always' || working
      level = coolantLevel(plant.coolant, level, air, spindleDuty, chillerOn, h)
      coolant = level + (chillerOn ? coolantRipple(plant.coolant, time / 1000) : 0)
    }
    if (!(Math.abs(duty.motion - motion) < 1e-6)) {
      motion = duty.motion
      setMotion(network, motion)
    }
    setHeat(network, duty)
    const part = 1 - Math.exp(-h / LATELY)
    lately.air += (mixed - lately.air) * part
    lately.spindle += (duty.spindle - lately.spindle) * part
    lately.motion += (duty.motion - lately.motion) * part
    lately.chiller += (Number(chillerOn) - lately.chiller) * part
    network.step(h, air, coolant)
    const bath = plant.part.follows === 'coolant' ? coolant : air
    workpiece += (bath + plant.part.workRise * spindleDuty - workpiece) * (1 - Math.exp(-h / plant.part.lag))
  }

  /**
   * Runs the machine on under conditions that stay: the air that reaches it, its duty and its chiller.
   *
   * @param horizons s, in rising order
   * @param conditions "now": as they are at this instant; "lately": averaged over some five minutes, as what has only
   *   just begun is not yet a condition that anybody could know of
   * @param at called at each horizon with the temperatures of the network and of the part
   */
  const runOn = (
    horizons: readonly number[],
    conditions: HeldConditions,
    at: (index: number, temperature: Float64Array, part: number) => void,
  ): void => {
    const hold =
      conditions === 'lately' ? lately : { air: mixed, spindle: spindleDuty, motion, chiller: Number(chillerOn) }
    held.copyFrom(network)
    if (conditions === 'lately') {
      setMotion(held, hold.motion)
      setHeat(held, hold)
    }
    const ripple = coolant - level
    let heldLevel = level
    let heldPart = workpiece
    let elapsed = 0
    horizons.forEach((horizon, i) => {
      const steps = Math.ceil((horizon - elapsed) / HELD_STEP)
      const h = steps > 0 ? (horizon - elapsed) / steps : 0
      const soaked = 1 - Math.exp(-h / plant.part.lag)
      for (let n = 0; n < steps; n++) {
        if (plant.coolant) {
          const on = coolantLevel(plant.coolant, heldLevel, hold.air, hold.spindle, true, h)
          const off = coolantLevel(plant.coolant, heldLevel, hold.air, hold.spindle, false, h)
          heldLevel = hold.chiller * on + (1 - hold.chiller) * off
        }
        held.step(h, hold.air, heldLevel + ripple)
        const bath = plant.part.follows === 'coolant' ? heldLevel + ripple : hold.air
        heldPart += (bath + plant.part.workRise * hold.spindle - heldPart) * soaked
      }
      elapsed = Math.max(elapsed, horizon)
      at(i, held.temperature, heldPart)
    })
  }

  /** True change of each axis' growth at the work after each of the horizons (s), if conditions stay: see `runOn`. */
  const heldDrift = (horizons: readonly number[], conditions: HeldConditions): Record<string, number[]> => {
    const before = axes.map(axis => axis.atWork(network.temperature))
    const drift = axes.map(() => new Array<number>(horizons.length).fill(0))
    const order = horizons.map((_, i) => i).sort((a, b) => horizons[a]! - horizons[b]!)
    const inOrder = order.map(i => horizons[i]!)
    runOn(inOrder, conditions, (index, temperature) => {
      axes.forEach((axis, a) => {
        drift[a]![order[index]!] = axis.atWork(temperature) - before[a]!
      })
    })
    return Object.fromEntries(axes.map((axis, a) => [axis.id, drift[a]!]))
  }

  /** True growth of every axis, and the part's temperature, at each of the horizons (s, rising) if conditions stay. */
  const heldCourse = (horizons: readonly number[], conditions: HeldConditions): HeldState[] => {
    const course: HeldState[] = []
    runOn(horizons, conditions, (index, temperature, part) => {
      course.push({
        ahead: horizons[index]!,
        axes: Object.fromEntries(axes.map(axis => [axis.id, axis.growth(temperature)])),
        partTemperature: part,
      })
    })
    return course
  }

  /** What a sensor at a place of this machine touches, as a function of the moment. */
  const reader = (measured: Measured): (() => number) => {
    if (measured.kind === 'body') {
      const { skin } = bodyOf(measured.body)
      return () => network.temperature[skin]!
    }
    if (measured.kind === 'measuring part') {
      const index = plant.axes.findIndex(axis => axis.id === measured.axis)
      const strip = strips[index]
      if (!strip) throw new RangeError(`${plant.id} has no axis "${measured.axis}"`)
      const weights = stretchOver(strip, measured.from, measured.to)
      return () => meanOver(strip, weights, network.temperature)
    }
    if (measured.kind === 'coolant') return () => coolant
    return () => air
  }

  return {
    id: plant.id,
    step,
    heldDrift,
    heldCourse,
    reader,
    air: (): number => air,
    coolant: (): number => coolant,
    partTemperature: (): number => workpiece,
    temperature: network.temperature,
    growth: (): Record<string, AxisTruth> =>
      Object.fromEntries(axes.map(axis => [axis.id, axis.growth(network.temperature)])),
    waste: (): number => plant.waste.standby + plant.waste.duty * spindleDuty,
  }
}
export type SimulatedMachine = ReturnType<typeof createMachine>
