import { changeAt, spreadAt } from '../settling/index.js'
import type { Outlook, PartOutlook, ThermalState } from './outlook.js'

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
const trajectoryLength = 96 * 3600

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

/** What of a trajectory is moved for its uncertainty. */
export interface Moved {
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
  outlook: Outlook
  plan: readonly PlannedAir[]
  /** s between steps */
  step: number
  /** °C, now and at every step: of each node, in the order of the machine's */
  nodes: Float64Array[]
  part: Float64Array
}

/**
 * Trajectory of all node temperatures under a plan, each body approaching its moving surroundings first order. Without a
 * plan, a node that has learned a course from its past takes that.
 *
 * @param length s; how far it reaches
 */
export const trajectoryUnder = (outlook: Outlook, plan: readonly PlannedAir[], length = trajectoryLength): Trajectory =>
  computed(outlook, plan, Math.ceil(length / step), {}, null)

/** The same trajectory, but something of it is moved. What that does not reach is shared, not computed anew. */
export const movedTrajectory = (base: Trajectory, moved: Moved): Trajectory =>
  computed(base.outlook, base.plan, base.part.length - 1, moved, base)

const computed = (
  outlook: Outlook,
  plan: readonly PlannedAir[],
  steps: number,
  { airShift = 0, steadyShift, pace, off }: Moved,
  base: Trajectory | null,
): Trajectory => {
  const { nodes, part, loop } = outlook
  const offBy = (i: number) => (off && (off.node === i || off.node === 'all') ? off.by : 0)
  // a course learned from the past says what happens while nobody acts, so it tells nothing under a plan
  const courses = nodes.map(node => (plan.length === 0 && node.course ? node.course() : null))
  const airs = nodes.map((node, i) => {
    if (loop.machine.nodes[i]!.kind !== 'air') return null
    const course = courses[i]
    const [shift, by] = course ? [0, offBy(i)] : [airShift, 0]
    if (base && shift === 0 && by === 0) return base.nodes[i]!
    const air = plannedAir(node.temperature, plan, steps)
    for (let k = 1; k <= steps; k++)
      air[k]! += course ? changeAt(course, k * step) + by * spreadAt(course, k * step) : shift
    return air
  })
  const bodies = nodes.map((node, i) => {
    const air = airs[i]
    if (air) return air
    const course = courses[i]
    const by = offBy(i)
    const around = node.follows >= 0 && !course ? airs[node.follows]! : null
    const isMoved = by !== 0 || steadyShift?.node === i || pace?.node === i
    if (base && !isMoved && (!around || around === base.nodes[node.follows])) return base.nodes[i]!
    const temperatures = new Float64Array(steps + 1)
    temperatures[0] = node.temperature
    if (course) {
      for (let k = 1; k <= steps; k++)
        temperatures[k] = node.temperature + changeAt(course, k * step) + by * spreadAt(course, k * step)
      return temperatures
    }
    const steady = node.steadyTemperature
    const shift = steadyShift?.node === i ? steadyShift.by : 0
    const decay = Math.exp(-step / (node.timeConstant * (pace?.node === i ? pace.by : 1)))
    for (let k = 1; k <= steps; k++) {
      const change = around ? (around[k]! + around[k - 1]!) / 2 - around[0]! : 0
      const target = steady + change + shift
      temperatures[k] = target + (temperatures[k - 1]! - target) * decay
    }
    return temperatures
  })
  const workpiece = loop.machine.nodes.findIndex(node => node.id === loop.machine.workpiece.node)
  const bath = bodies[workpiece]!
  return {
    outlook,
    plan,
    step,
    nodes: bodies,
    part: base && bath === base.nodes[workpiece] ? base.part : partIn(bath, part),
  }
}

/** °C; the part now and at every step, in a bath of such temperatures. */
const partIn = (bath: Float64Array, { temperature, timeConstant }: PartOutlook): Float64Array => {
  const part = new Float64Array(bath.length)
  part[0] = temperature
  const decay = Math.exp(-step / timeConstant)
  for (let k = 1; k < part.length; k++) part[k] = bath[k]! + (part[k - 1]! - bath[k]!) * decay
  return part
}

/** The thermal state, °C, `ahead` seconds along a trajectory, between its steps linear; beyond its end, its end. */
export const stateOn = ({ step: width, nodes: along, part }: Trajectory, ahead: number): ThermalState => {
  const last = part.length - 1
  const place = Math.min(Math.max(ahead / width, 0), last)
  const below = Math.floor(place)
  const above = Math.min(below + 1, last)
  const past = place - below
  const between = (values: Float64Array) => values[below]! + past * (values[above]! - values[below]!)
  // a loop: asked very often, and mapping into a typed array costs many times as much
  const nodes = new Float64Array(along.length)
  for (let i = 0; i < nodes.length; i++) nodes[i] = between(along[i]!)
  return { nodes, part: between(part) }
}

/**
 * The same outlook, but its nodes go where their past tells that they usually go; those that have not learned it yet, as
 * their surroundings tell. Under a plan the past tells nothing.
 */
export const asUsual = (outlook: Outlook): Outlook => {
  if (outlook.plan) return outlook
  const nodes = outlook.nodes.map(node => (node.hasLearned ? node : { ...node, course: undefined }))
  if (nodes.every(({ course }) => !course)) return outlook
  const trajectory = trajectoryUnder({ ...outlook, nodes }, [])
  return { ...outlook, nodes, trajectory: ahead => stateOn(trajectory, ahead) }
}

/** The trajectory's outlook, but conditions change as planned there. */
export const along = (trajectory: Trajectory): Outlook => {
  const { outlook, plan } = trajectory
  return { ...outlook, plan, trajectory: ahead => stateOn(trajectory, ahead) }
}

/** The same outlook, but conditions change as planned. */
export const underPlan = (outlook: Outlook, plan: readonly PlannedAir[]): Outlook =>
  plan.length === 0 ? outlook : along(trajectoryUnder(outlook, plan))
