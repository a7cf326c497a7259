import { type NodeOutlook, once } from '../../core/judge/index.js'
import { type MeasuredBody, steadyUncertainty } from '../../core/settling/index.js'
import type { Machine, Node, Sensor, Shop } from '../../core/shop.js'
import type { MissingNode, NodeState, SensorState, Trust } from '../../core/state.js'
import { sensorsAt, unmeasuredBodies } from '../history/sensors.js'
import { NodeFollower } from './node-follower.js'
import { OverdueCalibrations } from './overdue.js'
import type { SensorBoard } from './sensor-board.js'
import { UnmeasuredNode, usualTimeConstant } from './unmeasured-node.js'
import { UsualSlots } from './usual-slots.js'
import { jobHeatOf, WorkFollower } from './work-follower.js'

/** ms; a body must have been followed so long before it counts as known. Judgement, no source */
const watchAtLeast = 600_000
/**
 * K, standard; a node that no verdict needs and whose sensors are silent is taken to be as warm as its surroundings, so
 * sure. Judgement
 */
export const assumed = 1.5
/** relative, standard; how well the time constant of a coolant tank is known. Judgement, no source */
const coolantUncertainty = 0.5

/** A node at a moment. */
export interface NodeNow {
  state: NodeState
  /** null where it is not known */
  outlook: NodeOutlook | null
  /** why it is not known */
  missing: MissingNode | null
  /** name of the node that stands in for it; null where none does */
  standInName: string | null
  /** what a job adds to a body that has a sensor of its own, by what its work class says of that */
  jobHeat?: ReturnType<typeof jobHeatOf>
}

/** The nodes of one machine: what their sensors say of them, and what stands in for those that are silent. */
export class NodeBoard {
  readonly followers: NodeFollower[]
  private readonly unmeasured: Map<string, UnmeasuredNode>
  /** sensors whose calibration is past its due date: believed, with a larger uncertainty */
  readonly overdue: OverdueCalibrations
  private readonly work: WorkFollower

  constructor(
    /** another object when it goes on under another name */
    public machine: Machine,
    private readonly shop: Shop,
    private readonly sensors: SensorBoard,
  ) {
    const slots = new UsualSlots(shop.timeZone)
    this.followers = machine.nodes.map(node => new NodeFollower(node, slots))
    this.work = new WorkFollower(this.followers)
    this.unmeasured = new Map(
      unmeasuredBodies(shop, machine).map(node => [
        node.id,
        new UnmeasuredNode(
          node,
          machine.nodes.find(({ id }) => id === node.follows),
        ),
      ]),
    )
    this.overdue = new OverdueCalibrations(
      machine.nodes.flatMap(({ id }) => this.sensorsOf(id)),
      shop.timeZone,
    )
  }

  private sensorsOf(node: string): readonly Sensor[] {
    return sensorsAt(this.shop, this.machine, node)
  }

  /**
   * Takes a reading of a node.
   *
   * @param at ms
   * @param value °C, with the sensor's offset
   * @param sensor where it comes from; one that is not believed yet is followed only where no other tells
   * @param anew what was taken from it before was wrong
   * @returns whether it was taken
   */
  take(node: string, at: number, value: number, sensor: string, anew: boolean): boolean {
    const follower = this.follower(node)
    if (!follower) return false
    const others = this.sensorsOf(node).filter(({ id }) => id !== sensor)
    if (!this.sensors.isBelieved(sensor) && others.some(({ id }) => this.sensors.isBelieved(id))) return false
    if (anew) follower.forget()
    const { follows } = follower.node
    follower.take(at, value, follows ? this.around(follows).temperature : null)
    this.work.follow(at)
    for (const body of this.unmeasured.values()) {
      if (body.node.follows !== node) continue
      if (anew) body.forget()
      body.follow(at, this.around(node).temperature, this.measuredBodies(node))
    }
    return true
  }

  /**
   * What a body follows, °C and K: the node's own temperature, or its stand-in's, less sure, when its own sensors are not
   * believed.
   * Where nothing tells, the last known one: a verdict is not drawn from it, since a node without an outlook is missing.
   */
  private around(node: string): { temperature: number | null; uncertainty: number } {
    const own = this.follower(node)
    if (!own) return { temperature: null, uncertainty: 0 }
    const instead = own.node.standIn && this.follower(own.node.standIn.node)
    const standIn = !this.isBelieved(node) && instead && this.isBelieved(instead.node.id) ? instead.temperature() : null
    if (standIn !== null) return { temperature: standIn, uncertainty: own.node.standIn!.uncertainty }
    return { temperature: own.temperature(), uncertainty: 0 }
  }

  private isBelieved(node: string): boolean {
    return this.sensorsOf(node).some(({ id }) => this.sensors.isBelieved(id))
  }

  /**
   * The offset of one of its sensors was changed by so many K. A node with several sensors follows them all alike.
   *
   * @returns K; by how much the node's temperature moves with it, and that of each body predicted from it
   */
  shift(id: string, change: number): Map<string, number> {
    const moved = change / (this.sensorsOf(id).length || 1)
    this.follower(id)?.shift(moved)
    for (const follower of this.followers) if (follower.node.follows === id) follower.shiftSurroundings(moved)
    const predicted = [...this.unmeasured.values()].map(body => ({ ...body.node, moved: body.shift(id, moved) }))
    const without = predicted.filter(node => !node.standIn && node.moved !== 0)
    return new Map([[id, moved], ...without.map((node): [string, number] => [node.id, node.moved])])
  }

  /** The bodies that follow a node and whose own sensors tell how warm they are. */
  private measuredBodies(followed: string): MeasuredBody[] {
    return this.followers.flatMap(follower => {
      const { id, kind, follows, placementUncertainty } = follower.node
      const temperature = kind === 'body' && follows === followed ? follower.temperature() : null
      if (temperature === null || !this.isBelieved(id)) return []
      const timeConstant = follower.timeConstant ?? usualTimeConstant
      return [{ id, temperature, timeConstant, placement: placementUncertainty }]
    })
  }

  /** All nodes at a moment (ms), in the machine's order. */
  at(now: number): NodeNow[] {
    return this.machine.nodes.map(node => this.nodeNow(node, now))
  }

  follower(node: string): NodeFollower | undefined {
    return this.followers.find(f => f.node.id === node)
  }

  /** By its own sensors; else by its stand-in, a prediction, or what surrounds it. */
  private nodeNow(node: Node, now: number): NodeNow {
    const follower = this.follower(node.id)!
    const own = this.ownOutlook(follower, now)
    if (own.outlook) return { ...own, standInName: null }
    const instead = node.standIn && this.follower(node.standIn.node)
    const other = instead && this.ownOutlook(instead, now)
    if (other?.outlook) {
      const outlook: NodeOutlook = { ...other.outlook, placement: node.standIn!.uncertainty }
      return this.replaced(own, outlook, instead!.node.name)
    }
    const predicted = this.predicted(node, now)
    // nothing replaces a sensor here: no reason to say so with every verdict
    if (predicted) return { ...this.replaced(own, predicted, ''), standInName: null }
    const surroundings = !node.required && node.follows ? this.follower(node.follows) : undefined
    const air = surroundings && this.ownOutlook(surroundings, now)
    if (air?.outlook) return this.replaced(own, { ...air.outlook, placement: assumed }, surroundings!.node.name)
    return { ...own, standInName: null }
  }

  /** What is predicted of a body without a sensor, from what is known of the node it follows. */
  private predicted(node: Node, now: number): NodeOutlook | null {
    const body = this.unmeasured.get(node.id)
    const followed = this.machine.nodes.findIndex(({ id }) => id === node.follows)
    const surroundings = body && followed >= 0 ? this.nodeNow(this.machine.nodes[followed]!, now).outlook : null
    return surroundings ? body!.outlookAt(now, surroundings, followed) : null
  }

  private replaced(own: Omit<NodeNow, 'standInName'>, outlook: NodeOutlook, standInName: string): NodeNow {
    return {
      state: { ...own.state, temperature: outlook.temperature, standIn: true },
      outlook,
      missing: null,
      standInName,
    }
  }

  /** What a node's own sensors say of it. */
  private ownOutlook(follower: NodeFollower, now: number): Omit<NodeNow, 'standInName'> {
    const { node } = follower
    const states = this.sensorsOf(node.id).map(sensor => ({ sensor, state: this.sensors.state(sensor.id)! }))
    const good = states.filter(({ state }) => state.trust === 'ok')
    const trust: Trust = good.length ? 'ok' : (states[0]?.state.trust ?? 'lost')
    const rate = follower.minutes.rate(20)
    const state: NodeState = {
      node: node.id,
      temperature: null,
      rate: Number.isNaN(rate) ? null : rate,
      steadyExcess: null,
      timeConstant: follower.timeConstant,
      timeConstantUncertainty: follower.timeConstantUncertainty,
      at: follower.at,
      trust,
      standIn: false,
    }
    const temperature = follower.temperature()
    const missing = (why: MissingNode['why']) => ({
      state,
      outlook: null,
      missing: { kind: 'missing' as const, node: node.id, name: node.name, why },
    })
    if (!good.length || temperature === null) return missing(whyUnknown(states[0]))
    const overdue = this.overdue.at(now)
    const calibration = Math.max(
      ...good.map(({ sensor }) => sensor.uncertainty * (overdue.get(sensor.id)?.factor ?? 1)),
    )
    const outlook: NodeOutlook = {
      temperature,
      steadyTemperature: temperature,
      timeConstant: Number.POSITIVE_INFINITY,
      timeConstantUncertainty: 0,
      steadyUncertainty: 0,
      calibration,
      ...(good[0]!.sensor.batch && { batch: good[0]!.sensor.batch }),
      placement: node.placementUncertainty,
      follows: -1,
      ordinaryChange: 0,
      hasLearned: follower.ahead.hasLearned,
      course: once(() => follower.course(now, temperature, null)),
    }
    if (node.kind === 'air') return { state: { ...state, temperature }, outlook, missing: null }
    const follows = this.machine.nodes.findIndex(n => n.id === node.follows)
    const { temperature: surroundings, uncertainty } = node.follows
      ? this.around(node.follows)
      : { temperature: null, uncertainty: 0 }
    if (node.kind === 'body' && surroundings === null) return missing({ kind: 'surroundings' })
    const found = follower.outlookAt(now, surroundings ?? 0)
    if (!found || now - found.estimate.since < watchAtLeast)
      return missing({ kind: 'watched', since: found?.estimate.since ?? null })
    const { estimate, steadyTemperature, timeConstant } = found
    const usual = follower.usualSteadyUncertainty
    return {
      state: {
        ...state,
        temperature: estimate.temperature,
        steadyExcess: node.kind === 'body' ? estimate.excess : null,
      },
      outlook: {
        ...outlook,
        temperature: estimate.temperature,
        steadyTemperature,
        timeConstant,
        timeConstantUncertainty: follower.timeConstantUncertainty ?? coolantUncertainty,
        steadyUncertainty: Math.hypot(steadyUncertainty(estimate), uncertainty),
        ...(usual !== undefined && { usualSteadyUncertainty: Math.hypot(usual, uncertainty) }),
        follows,
        course: once(() => follower.course(now, estimate.temperature, surroundings)),
      },
      missing: null,
      jobHeat: jobHeatOf(this.work.of(node.id), estimate.excess),
    }
  }
}

/** Why the first of a node's sensors tells nothing of it. */
const whyUnknown = (of: { sensor: Sensor; state: SensorState } | undefined): MissingNode['why'] => {
  if (!of) return { kind: 'no sensor' }
  const { name } = of.sensor
  const { at, trust, fault } = of.state
  if (trust === 'ok' || !fault) return { kind: 'no temperature', sensor: name }
  return trust === 'suspect' || at === null || (fault.kind === 'silent' && fault.seldom)
    ? { kind: 'sensor', sensor: name, fault }
    : { kind: 'silent', sensor: name, since: at }
}
