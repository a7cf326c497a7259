import { changeAt, spreadAt } from '../settling/index.js'
import type { Outlook, ThermalState } from './job.js'

/** A change of the air that somebody intends: the heating comes back, a door is shut. */
export interface PlannedAir {
  /** s from now */
  at: number
  /** °C that the air at the machine goes to */
  temperature: number
  /** s; how quickly it gets there */
  timeConstant: number
}

/** s; step of the integration, and between the states of the trajectory. Judgement, no source */
const step = 300
/** s; how far a trajectory reaches: the horizon of forecasts and a long job after it */
export const trajectoryLength = 96 * 3600

/**
 * Air under a plan: constant until the first change, then approaching each change's temperature first order from where
 * it is by then.
 *
 * @param present °C
 * @param steps   how many steps of five minutes ahead
 * @returns °C, one value more than steps: now and at every step
 */
export const plannedAir = (present: number, plan: readonly PlannedAir[], steps: number): Float64Array => {
  const changes = [...plan].sort((a, b) => a.at - b.at)
  const air = new Float64Array(steps + 1)
  let value = present
  let next = 0
  let target = present
  let timeConstant = 1
  air[0] = value
  for (let k = 1; k <= steps; k++) {
    while (next < changes.length && changes[next]!.at <= (k - 1) * step) {
      target = changes[next]!.temperature
      timeConstant = Math.max(changes[next]!.timeConstant, 1)
      next++
    }
    value = target + (value - target) * Math.exp(-step / timeConstant)
    air[k] = value
  }
  return air
}

/** What a trajectory is computed with; perturbed one by one for its uncertainty. */
export interface TrajectoryInputs {
  outlook: Outlook
  plan: readonly PlannedAir[]
  /** K added to the air from now on, as it ordinarily changes */
  airShift?: number
  /** K added to where a node is heading */
  steadyShift?: { node: number; by: number }
  /** factor on a node's time constant */
  pace?: { node: number; by: number }
  /** standard uncertainties added to a learned course, or to all of them together */
  off?: { node: number | 'all'; by: number }
}

/** Temperatures of the nodes and the part along a plan. */
export interface Trajectory {
  /** s between states, the first of which is now */
  step: number
  states: ThermalState[]
}

/**
 * Trajectory of all node temperatures under a plan, each body approaching its moving surroundings first order. Without a
 * plan, a node that has learned a course from its past takes that.
 *
 * @param length s; how far it reaches
 */
export const trajectoryUnder = (inputs: TrajectoryInputs, length = trajectoryLength): Trajectory => {
  const { outlook, plan, airShift = 0, steadyShift, pace, off } = inputs
  const { nodes, part, loop } = outlook
  const steps = Math.ceil(length / step)
  const offBy = (i: number) => (off && (off.node === i || off.node === 'all') ? off.by : 0)
  // a course learned from the past says what happens while nobody acts, so it tells nothing under a plan
  const courses = nodes.map(node => (plan.length === 0 && node.course ? node.course() : null))
  const isAir = loop.machine.nodes.map(node => node.kind === 'air')
  const airs = nodes.map((node, i) => (isAir[i] ? plannedAir(node.temperature, plan, steps) : null))
  airs.forEach((air, i) => {
    const course = courses[i]
    if (!air) return
    for (let k = 1; k <= steps; k++)
      air[k]! += course ? changeAt(course, k * step) + offBy(i) * spreadAt(course, k * step) : airShift
  })
  const workpiece = loop.machine.nodes.findIndex(node => node.id === loop.machine.workpiece.node)

  const temperatures = Float64Array.from(nodes, node => node.temperature)
  let partNow = part.temperature
  const decay = nodes.map((node, i) =>
    Number.isFinite(node.timeConstant) ? Math.exp(-step / (node.timeConstant * (pace?.node === i ? pace.by : 1))) : 1,
  )
  const partDecay = Math.exp(-step / part.timeConstant)
  const states: ThermalState[] = [{ nodes: new Float64Array(temperatures), part: partNow }]
  for (let k = 1; k <= steps; k++) {
    for (let i = 0; i < nodes.length; i++) {
      const node = nodes[i]!
      const air = airs[i]
      const course = courses[i]
      if (air) temperatures[i] = air[k]!
      else if (course) {
        temperatures[i] = node.temperature + changeAt(course, k * step) + offBy(i) * spreadAt(course, k * step)
      } else {
        const around = node.follows >= 0 ? airs[node.follows] : null
        const change = around ? (around[k]! + around[k - 1]!) / 2 - around[0]! : 0
        const steadyTemperature = node.steadyTemperature + change + (steadyShift?.node === i ? steadyShift.by : 0)
        temperatures[i] = steadyTemperature + (temperatures[i]! - steadyTemperature) * decay[i]!
      }
    }
    const bath = airs[workpiece]?.[k] ?? temperatures[workpiece]!
    partNow = bath + (partNow - bath) * partDecay
    states.push({ nodes: new Float64Array(temperatures), part: partNow })
  }
  return { step, states }
}

/** The thermal state, °C, `ahead` seconds along a trajectory, between its steps linear; beyond its end, its end. */
export const stateOn = ({ step: width, states }: Trajectory, ahead: number): ThermalState => {
  const last = states.length - 1
  const place = Math.min(Math.max(ahead / width, 0), last)
  const below = Math.floor(place)
  const from = states[below]!
  const to = states[Math.min(below + 1, last)]!
  const part = place - below
  // a loop: asked very often, and mapping a typed array costs many times as much
  const nodes = new Float64Array(from.nodes.length)
  for (let i = 0; i < nodes.length; i++) nodes[i] = from.nodes[i]! + part * (to.nodes[i]! - from.nodes[i]!)
  return {
    nodes,
    part: from.part + part * (to.part - from.part),
  }
}

/**
 * The same outlook, but its nodes go where their past tells that they usually go; those that have not learned it yet, as
 * their surroundings tell. Under a plan the past tells nothing.
 */
export const asUsual = (outlook: Outlook): Outlook => {
  if (outlook.plan) return outlook
  const nodes = outlook.nodes.map(node => (node.hasLearned ? node : { ...node, course: undefined }))
  if (nodes.every(({ course }) => !course)) return outlook
  const trajectory = trajectoryUnder({ outlook: { ...outlook, nodes }, plan: [] })
  return { ...outlook, nodes, trajectory: ahead => stateOn(trajectory, ahead) }
}

/** The same outlook, but conditions change as planned. @param length s; further ahead nothing is asked of it */
export const underPlan = (outlook: Outlook, plan: readonly PlannedAir[], length = trajectoryLength): Outlook => {
  if (plan.length === 0) return outlook
  const trajectory = trajectoryUnder({ outlook, plan }, length)
  return { ...outlook, plan, trajectory: ahead => stateOn(trajectory, ahead) }
}
