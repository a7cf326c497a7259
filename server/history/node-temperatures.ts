import { type OpenLoop, predictOpenLoop, startOpenLoop } from '../../core/settling/index.js'
import type { Machine, Node, Sensor } from '../../core/shop.js'
import { joinByInterval } from '../join-by-interval.js'
import type { Series, Store } from '../store/store.js'
import type { Span } from './span.js'

/** ms; what a level can tell apart */
const levelWidth: Record<Series['level'], number> = {
  reading: 1,
  minute: 60_000,
  'quarter hour': 900_000,
  hour: 3_600_000,
}

/** the sensors that give a temperature of a node, by node */
const sensorsByNode = (sensors: readonly Sensor[], machine: Machine): Map<string, Sensor[]> => {
  const byNode = new Map<string, Sensor[]>()
  for (const sensor of sensors)
    if (sensor.unit !== 'state' && sensor.at.kind === 'node' && sensor.at.machine === machine.id)
      byNode.set(sensor.at.node, [...(byNode.get(sensor.at.node) ?? []), sensor])
  return byNode
}

/** the bodies that no sensor is on and no verdict needs: they are predicted, as the monitor does */
const unmeasuredBodies = (machine: Machine, measured: ReadonlyMap<string, unknown>): Node[] =>
  machine.nodes.filter(({ id, kind, required }) => kind === 'body' && !required && !measured.has(id))

const settingsOf = ({ timeConstant = 3600, steadyExcess = 0 }: Node) => ({ timeConstant, steadyExcess })

/** after so many time constants of what it follows, where a prediction began no longer matters */
const runUp = 4
const runUpPoints = 300

/** A body's prediction at a moment, run up to it on what was stored of the node it follows; null when nothing was. */
const runUpTo = (
  node: Node,
  followed: readonly Sensor[],
  store: Pick<Store, 'series'>,
  at: number,
): OpenLoop | null => {
  const settings = settingsOf(node)
  const from = at - runUp * 1000 * settings.timeConstant
  const { rows } = onCommonIntervals(new Map([['followed', [...followed]]]), store, { from, to: at }, runUpPoints)
  let predicted: OpenLoop | null = null
  for (const row of rows) {
    const { followed: surroundings } = row.temperatures as { followed: number }
    predicted = predicted
      ? predictOpenLoop(predicted, surroundings, row.at, settings)
      : startOpenLoop(row.at, surroundings, settings)
  }
  return predicted && predictOpenLoop(predicted, rows.at(-1)!.temperatures.followed!, at, settings)
}

export interface NodeTemperatures {
  /** ms; every row is a mean over so much time */
  width: number
  /** in order of time; °C by node, those without a reading left out */
  rows: { at: number; temperatures: Record<string, number> }[]
}

/**
 * The temperatures of a machine's nodes over a span, from stored readings.
 *
 * All nodes are put on common intervals, wide enough that each sensor reports at least once in each (two of the
 * longest report interval). A node with several sensors takes their mean. A body without a sensor that is not required
 * is predicted from what it follows.
 *
 * @param points about how many intervals are wanted
 */
export const nodeTemperatures = (
  machine: Machine,
  sensors: readonly Sensor[],
  store: Pick<Store, 'series'>,
  span: Span,
  points: number,
): NodeTemperatures => {
  const measured = sensorsByNode(sensors, machine)
  const found = onCommonIntervals(measured, store, span, points)
  for (const node of unmeasuredBodies(machine, measured)) {
    const settings = settingsOf(node)
    let predicted = runUpTo(node, measured.get(node.follows ?? '') ?? [], store, span.from)
    for (const { at, temperatures } of found.rows) {
      const surroundings = temperatures[node.follows ?? '']
      if (surroundings === undefined) continue
      predicted = predicted
        ? predictOpenLoop(predicted, surroundings, at, settings)
        : startOpenLoop(at, surroundings, settings)
      temperatures[node.id] = predicted.temperature
    }
  }
  return found
}

/** Means of the readings of each node's sensors. */
const onCommonIntervals = (
  sensorsOf: ReadonlyMap<string, Sensor[]>,
  store: Pick<Store, 'series'>,
  { from, to }: Span,
  points: number,
): NodeTemperatures => {
  const stored = [...sensorsOf].flatMap(([node, at]) =>
    at.map(sensor => ({ node, sensor, series: store.series(sensor.id, from, to, points) })),
  )
  const coarsest = Math.max(1, ...stored.map(({ series }) => levelWidth[series.level]))
  const slowest = Math.max(0, ...stored.map(({ sensor }) => 2000 * sensor.interval))
  const width = Math.ceil(Math.max((to - from) / points, slowest) / coarsest) * coarsest

  const sums = new Map<number, Map<string, { sum: number; sensors: number }>>()
  for (const { node, sensor, series } of stored)
    for (const { at, mean } of joinByInterval(series.points, width)) {
      const row = sums.get(at) ?? new Map<string, { sum: number; sensors: number }>()
      const { sum, sensors: count } = row.get(node) ?? { sum: 0, sensors: 0 }
      row.set(node, { sum: sum + mean + sensor.offset, sensors: count + 1 })
      sums.set(at, row)
    }
  const rows = [...sums]
    .sort(([a], [b]) => a - b)
    .map(([at, row]) => ({
      at,
      temperatures: Object.fromEntries([...row].map(([node, { sum, sensors: count }]) => [node, sum / count])),
    }))
  return { width, rows }
}

/** ms; half of the time around a moment over which its temperatures are taken, unless a sensor reports less often */
const around = 300_000
const longestLevel = levelWidth['quarter hour']

/**
 * The temperatures of a machine's nodes at a past moment: means of the readings of some minutes around it. A body without
 * a sensor that is not required is predicted from what it follows.
 *
 * @param at ms
 * @returns °C by node; those without a reading near the moment are left out
 */
export const temperaturesAt = (
  machine: Machine,
  sensors: readonly Sensor[],
  store: Pick<Store, 'series'>,
  at: number,
): Record<string, number> => {
  const found: Record<string, number> = {}
  const measured = sensorsByNode(sensors, machine)
  for (const [node, own] of measured) {
    const means = own.flatMap(sensor => {
      const reach = Math.max(around, 2000 * sensor.interval)
      const { level, points } = store.series(sensor.id, at - reach - longestLevel, at + reach + longestLevel, 1000)
      const half = level === 'reading' ? 0 : levelWidth[level] / 2
      const near = points.filter(p => Math.abs(p.at + half - at) <= Math.max(reach, half))
      const count = near.reduce((sum, p) => sum + p.count, 0)
      return count > 0 ? [near.reduce((sum, p) => sum + p.mean * p.count, 0) / count + sensor.offset] : []
    })
    if (means.length > 0) found[node] = means.reduce((sum, m) => sum + m, 0) / means.length
  }
  for (const node of unmeasuredBodies(machine, measured)) {
    const followed = node.follows ?? ''
    const surroundings = found[followed]
    // without a reading of what it follows near the moment, its prediction is no better known than that
    if (surroundings === undefined) continue
    const predicted = runUpTo(node, measured.get(followed) ?? [], store, at)
    found[node.id] = predicted ? predicted.temperature : surroundings + settingsOf(node).steadyExcess
  }
  return found
}
