import { assemble, meanOver, stretchOver } from './assembly.js'
import { Conditions, type Reaching } from './conditions.js'
import { coolantLevel, coolantRipple } from './coolant.js'
import { type Duty, paceLeft } from './duty.js'
import { createLoad, type Load } from './load.js'
import { ThermalNetwork } from './network.js'
import type { MachinePlant, Measured } from './plant.js'
import { createWander, type Random } from './random.js'
import { type AxisTruth, bodyMean, createTruth } from './truth.js'

/** s; longest step when a machine is run on under held conditions */
const HELD_STEP = 300
/** s; longest step when a job is run that might have begun */
const JOB_STEP = 60
/** s; held conditions are what reached the machine lately, not a gust or a job's first second */
const LATELY = 300

/** What is held when a machine is run on: conditions of this instant, or those of the last few minutes. */
export type HeldConditions = 'now' | 'lately'

/** What would be true of a machine `ahead` s from now if conditions stayed. */
export interface HeldState {
  ahead: number
  axes: Record<string, AxisTruth>
  /** °C */
  partTemperature: number
}

/** A machine at a moment: from here it can be run on in another way than it went. */
export interface MachineMark {
  machine: string
  /** ms */
  time: number
  /** °C */
  temperature: Float64Array
  coolantLevel: number
  partTemperature: number
  duty: Duty
}

/** What acts on a machine while it is run on. */
type Acting = Load & Reaching

/** The air around a machine, °C: of its zone, and beside each source that reaches it, in the order of its influences. */
export interface Surroundings {
  zone: number
  beside: Float64Array
  /** °C; 0..1 of the noon sun under a clear sky; 0 … 24 by the wall clock */
  outdoors: number
  sun: number
  hour: number
}

/** W of the sun through a window onto a machine. */
const sunOn = ({ sun }: MachinePlant, around: Surroundings): number =>
  sun && around.hour >= sun.hours[0] && around.hour < sun.hours[1] ? sun.power * around.sun : 0

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
  const { setMotion, setHeat } = createLoad(plant, { bodyOf, strips })

  let nearness = 0
  let mixed = start
  let air = start
  let level = plant.coolant?.set ?? start
  let coolant = level
  let chillerOn = true
  let workpiece = start
  let spindleDuty = 0
  let motion = Number.NaN
  let nutAt = 0
  let sunNow = 0
  let now = 0
  const came = new Conditions()
  const lately = { air: start, spindle: 0, motion: 0, nutAt: 0, chiller: 1, sun: 0 }

  const step = (time: number, h: number, around: Surroundings, duty: Duty, working: boolean): void => {
    const sun = sunOn(plant, around)
    sunNow = sun
    if (duty.brought) workpiece += duty.brought * (around.outdoors - workpiece)
    nutAt = duty.nutAt ?? 0
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
    setHeat(network, { ...duty, sun })
    const part = 1 - Math.exp(-h / LATELY)
    lately.air += (mixed - lately.air) * part
    lately.spindle += (duty.spindle - lately.spindle) * part
    lately.motion += (duty.motion - lately.motion) * part
    lately.chiller += (Number(chillerOn) - lately.chiller) * part
    lately.sun += (sun - lately.sun) * part
    lately.nutAt = nutAt
    network.step(h, air, coolant)
    now = time
    came.add(time, h, { air, chiller: Number(chillerOn), sun })
    const bath = plant.part.follows === 'coolant' ? coolant : air
    workpiece += (bath + plant.part.workRise * spindleDuty - workpiece) * (1 - Math.exp(-h / plant.part.lag))
  }

  const mark = (): MachineMark => ({
    machine: plant.id,
    time: now,
    temperature: Float64Array.from(network.temperature),
    coolantLevel: level,
    partTemperature: workpiece,
    duty: { spindle: spindleDuty, motion, nutAt },
  })

  const growthAt = (temperature: Float64Array): Record<string, AxisTruth> =>
    Object.fromEntries(axes.map(axis => [axis.id, axis.growth(temperature)]))

  /**
   * Runs the machine on from a moment.
   *
   * @param horizons s, in rising order
   * @param longest s; of a step
   * @param acting what acts on it from `elapsed` s on for `h` s
   * @param ripple K of its coolant
   * @returns what is true at each of the horizons
   */
  const runOn = (
    begin: MachineMark,
    horizons: readonly number[],
    longest: number,
    acting: (elapsed: number, h: number) => Acting,
    ripple: (elapsed: number) => number,
  ): HeldState[] => {
    held.temperature.set(begin.temperature)
    let heldMotion = Number.NaN
    let heldLevel = begin.coolantLevel
    let heldPart = begin.partTemperature
    let elapsed = 0
    return horizons.map(horizon => {
      const steps = Math.ceil((horizon - elapsed) / longest)
      const h = steps > 0 ? (horizon - elapsed) / steps : 0
      const soaked = 1 - Math.exp(-h / plant.part.lag)
      for (let n = 0; n < steps; n++) {
        const act = acting(elapsed, h)
        if (!(Math.abs(act.motion - heldMotion) < 1e-3)) {
          heldMotion = act.motion
          setMotion(held, heldMotion)
        }
        setHeat(held, act)
        if (plant.coolant) {
          const on = coolantLevel(plant.coolant, heldLevel, act.air, act.spindle, true, h)
          const off = coolantLevel(plant.coolant, heldLevel, act.air, act.spindle, false, h)
          heldLevel = act.chiller * on + (1 - act.chiller) * off
        }
        const bathNow = heldLevel + ripple(elapsed)
        held.step(h, act.air, bathNow)
        const bath = plant.part.follows === 'coolant' ? bathNow : act.air
        heldPart += (bath + plant.part.workRise * act.spindle - heldPart) * soaked
        elapsed += h
      }
      elapsed = Math.max(elapsed, horizon)
      return { ahead: horizon, axes: growthAt(held.temperature), partTemperature: heldPart }
    })
  }

  /**
   * True growth of every axis, and the part's temperature, at each of the horizons (s, rising) under conditions that stay: the
   * air that reaches it, its duty and its chiller.
   *
   * @param conditions "now": as they are at this instant; "lately": averaged over some five minutes, as what has only
   *   just begun is not yet a condition that anybody could know of
   */
  const heldCourse = (horizons: readonly number[], conditions: HeldConditions): HeldState[] => {
    const hold =
      conditions === 'lately'
        ? lately
        : { air: mixed, spindle: spindleDuty, motion, nutAt, chiller: Number(chillerOn), sun: sunNow }
    const ripple = () => coolant - level
    return runOn(mark(), horizons, HELD_STEP, () => hold, ripple)
  }

  /** True change of each axis' growth at the work after each of the horizons (s), in any order: see `heldCourse`. */
  const heldDrift = (horizons: readonly number[], conditions: HeldConditions): Record<string, number[]> => {
    const rising = [...horizons].sort((a, b) => a - b)
    const course = heldCourse(rising, conditions)
    const before = growthAt(network.temperature)
    const drift = (axis: string) =>
      horizons.map(horizon => course[rising.indexOf(horizon)]!.axes[axis]!.atWork - before[axis]!.atWork)
    return Object.fromEntries(axes.map(({ id }) => [id, drift(id)]))
  }

  /**
   * What a job would have made of the machine that had begun at a moment gone by: its own heat from then on, in the air
   * that came. Its duty builds up from what it was.
   *
   * @param horizons s after the mark, rising
   * @throws RangeError when the shop has not lived so far yet, or the mark is too old
   */
  const jobCourse = (begin: MachineMark, job: Duty, horizons: readonly number[]): HeldState[] => {
    const acting = (elapsed: number, h: number): Acting => {
      const left = paceLeft(elapsed + h / 2)
      return {
        ...came.over(begin.time + elapsed * 1000, h),
        spindle: job.spindle + left * (begin.duty.spindle - job.spindle),
        motion: job.motion + left * (begin.duty.motion - job.motion),
        nutAt: job.nutAt ?? 0,
      }
    }
    const ripple = (elapsed: number) =>
      plant.coolant ? coolantRipple(plant.coolant, begin.time / 1000 + elapsed) * Number(chillerOn) : 0
    return runOn(begin, horizons, JOB_STEP, acting, ripple)
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
    mark,
    jobCourse,
    usualJob: (): Duty => ({ spindle: plant.duty.spindle, motion: plant.duty.motion }),
    reader,
    air: (): number => air,
    coolant: (): number => coolant,
    partTemperature: (): number => workpiece,
    temperature: network.temperature,
    bodies: (): Record<string, number> =>
      Object.fromEntries(plant.bodies.map(({ id }) => [id, bodyMean(bodyOf(id), network.temperature)])),
    growth: (): Record<string, AxisTruth> => growthAt(network.temperature),
    waste: (): number => plant.waste.standby + plant.waste.duty * spindleDuty,
  }
}
export type SimulatedMachine = ReturnType<typeof createMachine>
