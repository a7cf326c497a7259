import { setImmediate as otherWork } from 'node:timers/promises'
import type { Machine, Node, Sensor } from '../../core/shop.js'
import { joinByInterval } from '../join-by-interval.js'
import { assumed } from '../monitor/node-board.js'
import { OverdueCalibrations } from '../monitor/overdue.js'
import { believedParts, wasBelieved, wasMostlyDoubted } from './believed.js'
import { type InForce, type Past, readInForce } from './in-force.js'
import { believedPoints, gridFor, quarterHour } from './readings.js'
import { bodiesBeside, sensorsAt, unmeasuredBodies } from './sensors.js'
import type { Span } from './span.js'
import { Prediction, runUp } from './unmeasured.js'

/** What a node's temperature was taken from, in the order in which it is tried. */
type TakenFrom = 'sensor' | 'stand-in' | 'prediction' | 'surroundings'

/** A node as it was believed at a moment, or over an interval. */
interface NodeThen {
  /** °C */
  temperature: number
  /** °C; lowest and highest reading it was taken from */
  lowest: number
  highest: number
  from: TakenFrom
  /** K; standard uncertainty of its sensors' calibration */
  calibration: number
  /** K; standard uncertainty that what was taken stands for the node's mean temperature */
  placement: number
  /** the offset it shares with the other sensors of its batch; K, its standard uncertainty */
  batch?: { name: string; uncertainty: number }
}

/** K; standard uncertainty of a node's temperature as it was believed then */
export const uncertaintyOf = ({ calibration, placement, batch }: NodeThen): number =>
  Math.hypot(calibration, placement, batch?.uncertainty ?? 0)

/** Nodes in the machine's order; null where nothing was believed. */
export type NodesThen = readonly (NodeThen | null)[]

interface TemperatureHistory {
  /** ms; every row is a mean over so much time */
  width: number
  /** in order of time, ms at which their interval begins; those in which no node is known are left out */
  rows: { at: number; nodes: NodesThen }[]
}

/** What the sensors of a machine's nodes say, and how sure they are. */
class Measured {
  private readonly overdue: OverdueCalibrations

  constructor(
    readonly past: Past,
    readonly machine: Machine,
    readonly inForce: InForce,
  ) {
    const sensors = machine.nodes.flatMap(node => sensorsAt(past.shop, machine, node.id))
    this.overdue = new OverdueCalibrations(sensors, past.shop.timeZone)
  }

  /** The mean of what its sensors tell of a node. */
  node(node: Node, tell: readonly { sensor: Sensor; mean: number; min: number; max: number }[], at: number): NodeThen {
    const overdue = this.overdue.at(at)
    const batch = tell[0]!.sensor.batch
    return {
      temperature: tell.reduce((sum, { mean }) => sum + mean, 0) / tell.length,
      lowest: Math.min(...tell.map(({ min }) => min)),
      highest: Math.max(...tell.map(({ max }) => max)),
      from: 'sensor',
      calibration: Math.max(...tell.map(({ sensor }) => sensor.uncertainty * (overdue.get(sensor.id)?.factor ?? 1))),
      placement: node.placementUncertainty,
      ...(batch && { batch }),
    }
  }

  /** All nodes' own temperatures on common intervals, wide enough that each sensor reports at least once in each. */
  async over(nodes: readonly Node[], span: Span, points: number): Promise<TemperatureHistory> {
    const { past, machine, inForce } = this
    const sensors = nodes.flatMap(node =>
      sensorsAt(past.shop, machine, node.id).map(sensor => ({ node: machine.nodes.indexOf(node), sensor })),
    )
    const slowest = Math.max(0, ...sensors.map(({ sensor }) => 2000 * sensor.interval))
    const least = Math.max((span.to - span.from) / points, slowest)
    const stored = []
    for (const { node, sensor } of sensors) {
      const { kind } = machine.nodes[node]!
      const found = await believedPoints(past, inForce, sensor, kind, span, points, gridFor(least))
      stored.push({ node, sensor, ...found })
      await otherWork()
    }
    const coarsest = Math.max(1, ...stored.map(each => each.width))
    const width = Math.ceil(least / coarsest) * coarsest
    const told = new Map<number, (Parameters<Measured['node']>[1][number][] | undefined)[]>()
    for (const { node, sensor, points: all } of stored)
      for (const { at, mean, min, max } of joinByInterval(all, width)) {
        if (wasMostlyDoubted(inForce.doubted(sensor.id), { from: at, to: at + width })) continue
        const row = told.get(at) ?? []
        row[node] = [...(row[node] ?? []), { sensor, mean, min, max }]
        told.set(at, row)
      }
    const rows = [...told]
      .sort(([a], [b]) => a - b)
      .map(([at, row]) => ({
        at,
        nodes: machine.nodes.map((node, i) => (row[i] ? this.node(node, row[i], at) : null)),
      }))
    return { width, rows }
  }

  /** A node's own temperature at a moment: the mean of the readings of some minutes around it. */
  async at(node: Node, at: number): Promise<NodeThen | null> {
    const { past, machine, inForce } = this
    const tell = []
    for (const sensor of sensorsAt(past.shop, machine, node.id)) {
      const doubted = inForce.doubted(sensor.id)
      if (!wasBelieved(doubted, at)) continue
      const reach = Math.max(around, 2000 * sensor.interval)
      const wide = { from: at - reach - quarterHour, to: at + reach + quarterHour }
      const part = believedParts(doubted, wide, 1).find(({ from, to }) => from <= at && at < to)!
      const { points, width } = await believedPoints(past, inForce, sensor, node.kind, part, 1000, 1)
      const half = width > 1 ? width / 2 : 0
      const near = points.filter(
        p => Math.abs(p.at + half - at) <= Math.max(reach, half) && (part.to === wide.to || p.at + 2 * half <= part.to),
      )
      const count = near.reduce((sum, p) => sum + p.count, 0)
      if (count === 0) continue
      tell.push({
        sensor,
        mean: near.reduce((sum, p) => sum + p.mean * p.count, 0) / count,
        min: Math.min(...near.map(({ min }) => min)),
        max: Math.max(...near.map(({ max }) => max)),
      })
    }
    return tell.length > 0 ? this.node(node, tell, at) : null
  }
}

/** ms; half of the time around a moment over which its temperatures are taken, unless a sensor reports less often */
const around = 300_000

/** @param from ms; the earliest moment that is asked for, before what predictions are run up on */
const measuredOf = async (past: Past, machine: Machine, from: number, correctedAt?: number): Promise<Measured> => {
  const longest = Math.max(...machine.nodes.map(runUp))
  return new Measured(past, machine, await readInForce(past, machine, from - longest, correctedAt))
}

/** °C; what a node's own sensors told, null where they told nothing */
type OwnMean = (node: Node) => number | null

const ownMeans =
  (nodes: Machine['nodes'], own: NodesThen): OwnMean =>
  node =>
    own[nodes.indexOf(node)]?.temperature ?? null

/** What was taken for each node: its own, else a stand-in's, else a prediction, else its surroundings, as the monitor does. */
const believedNodes = (
  { nodes }: Machine,
  own: NodesThen,
  predict: (node: Node, surroundings: NodeThen, own: OwnMean) => Pick<NodeThen, 'temperature' | 'placement'> | null,
): NodesThen => {
  const ownMean = ownMeans(nodes, own)
  const indexOf = (id: string | undefined) => nodes.findIndex(node => node.id === id)
  const taken = (node: Node, i: number): NodeThen | null => {
    if (own[i]) return own[i]
    const standIn = own[indexOf(node.standIn?.node)]
    if (standIn) return { ...standIn, from: 'stand-in', placement: node.standIn!.uncertainty }
    const followed = indexOf(node.follows)
    const surroundings = followed < 0 ? null : taken(nodes[followed]!, followed)
    const predicted = surroundings && predict(node, surroundings, ownMean)
    if (predicted) {
      const { temperature } = predicted
      return { ...surroundings, ...predicted, from: 'prediction', lowest: temperature, highest: temperature }
    }
    const around = node.required ? null : own[followed]
    return around ? { ...around, from: 'surroundings', placement: assumed } : null
  }
  return nodes.map(taken)
}

const runUpPoints = 300

/** Predictions of the bodies without a sensor, each run up to a moment on what was stored of what it follows. */
const predictionsAt = async (measured: Measured, at: number): Promise<Map<string, Prediction>> => {
  const { past, machine, inForce } = measured
  const found = new Map<string, Prediction>()
  for (const node of unmeasuredBodies(past.shop, machine)) {
    const prediction = new Prediction(node, machine, past.shop, inForce)
    found.set(node.id, prediction)
    const followed = machine.nodes.find(({ id }) => id === node.follows)
    if (!followed) continue
    const needed = new Set([
      followed,
      ...machine.nodes.filter(({ id }) => id === followed.standIn?.node),
      ...bodiesBeside(past.shop, machine, node),
    ])
    const { rows, width } = await measured.over([...needed], { from: at - runUp(node), to: at }, runUpPoints)
    for (const row of rows) {
      const surroundings = believedNodes(machine, row.nodes, () => null)[machine.nodes.indexOf(followed)]
      const to = Math.min(row.at + width, at)
      if (surroundings) prediction.follow(row.at, to, surroundings.temperature, ownMeans(machine.nodes, row.nodes))
    }
  }
  return found
}

/**
 * The temperatures of a machine's nodes over a span, as they were believed then.
 *
 * All nodes are put on common intervals, wide enough that each sensor reports at least once in each (two of the longest
 * report interval). A node with several sensors takes the mean of those that were believed. Where none was, what the
 * monitor took instead stands, with its larger uncertainty: the stand-in, the prediction of a body that no sensor is on,
 * or, for a node that is not required, its surroundings. What the monitor found out later (a sensor that fell off is
 * found some minutes after it fell) changes nothing of the time before: verdicts were drawn from it.
 *
 * Values are means of readings, where the monitor's are filtered: they differ from what it showed by what its filters
 * smooth, by the ten minutes for which it watches a body before it believes it, and by where an interval is cut.
 *
 * @param points about how many intervals are wanted
 * @param correctedAt ms; see `readInForce`
 */
export const temperaturesOver = async (
  past: Past,
  machine: Machine,
  span: Span,
  points: number,
  correctedAt?: number,
): Promise<TemperatureHistory> => {
  const measured = await measuredOf(past, machine, span.from, correctedAt)
  const { width, rows } = await measured.over(machine.nodes, span, points)
  const predictions = rows.length === 0 ? new Map<string, Prediction>() : await predictionsAt(measured, span.from)
  return {
    width,
    rows: rows.map(({ at, nodes }) => ({
      at,
      nodes: believedNodes(
        machine,
        nodes,
        (node, { temperature }, ownMean) =>
          predictions.get(node.id)?.follow(at, at + width, temperature, ownMean) ?? null,
      ),
    })),
  }
}

/**
 * The temperatures of a machine's nodes at a past moment, as they were believed then: means of the readings of some
 * minutes around it, from sensors that were believed at it. See `temperaturesOver`.
 *
 * @param at ms
 * @param correctedAt ms; whose offsets are applied, that moment's own if not given
 */
export const nodesAt = async (past: Past, machine: Machine, at: number, correctedAt?: number): Promise<NodesThen> => {
  const measured = await measuredOf(past, machine, at, correctedAt)
  const own: (NodeThen | null)[] = []
  for (const node of machine.nodes) own.push(await measured.at(node, at))
  const predictions = await predictionsAt(measured, at)
  return believedNodes(
    machine,
    own,
    (node, { temperature }, ownMean) => predictions.get(node.id)?.follow(at, at, temperature, ownMean) ?? null,
  )
}

/** °C by node, as a datum stores them; nodes of which nothing was believed are left out. */
export const byNode = ({ nodes }: Machine, then: NodesThen): Record<string, number> =>
  Object.fromEntries(nodes.flatMap(({ id }, i) => (then[i] ? [[id, then[i].temperature]] : [])))

/**
 * The temperatures of a machine's nodes at a past moment, as they were believed then, with the offsets of that moment: see
 * `nodesAt`. As a datum stores them.
 *
 * @param at ms
 * @returns °C by node; nodes of which nothing was believed are left out
 */
export const temperaturesAt = async (past: Past, machine: Machine, at: number): Promise<Record<string, number>> =>
  byNode(machine, await nodesAt(past, machine, at))
