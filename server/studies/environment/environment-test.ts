import {
  type Comparison,
  compareWithLog,
  type Sensitivity,
  sensitivityToAir,
  swingBetween,
  type WorstWindow,
  worstWindow,
} from '../../../core/environment/index.js'
import type { Machine } from '../../../core/shop.js'
import type { DriftLog } from '../../../core/state.js'
import { nodeTemperatures } from '../../history/node-temperatures.js'
import type { Span } from '../../history/span.js'
import type { AppParts } from '../../http/parts.js'

const hour = 3_600_000

/** a window holds at least so many intervals, where the sensors report often enough */
const perWindow = 60
const mostIntervals = 5000
/** ms; the longest lag between air and growth that is looked for */
const longestLag = 12 * hour

export interface AxisAtRest {
  axis: string
  /** m by interval; null where a node it depends on has no reading */
  growth: (number | null)[]
  /** with the swing of the air in that same window, K, and growth change over swing, m/K; null when nothing is known */
  worst: (WorstWindow & { airSwing: number | null; ratio: number | null }) | null
  sensitivity: Sensitivity | null
}

export interface EnvironmentTest {
  /** name of the node whose air counts */
  air: string
  /** ms; width of an interval, and the moments they begin at */
  interval: number
  at: number[]
  /** °C by interval */
  airTemperature: (number | null)[]
  axes: AxisAtRest[]
}

/** Growth at the work and air on an even grid, NaN where nothing is known. */
const evenGrid = (parts: AppParts, machine: Machine, span: Span, points: number) => {
  const { width, rows } = nodeTemperatures(machine, parts.shop.sensors, parts.store, span, points)
  const first = rows[0]?.at ?? 0
  const count = rows.length === 0 ? 0 : Math.round((rows.at(-1)!.at - first) / width) + 1
  const at = Array.from({ length: count }, (_, i) => first + i * width)
  const nothing = () => new Array<number>(count).fill(Number.NaN)
  const growth = new Map(machine.axes.map(axis => [axis.id, nothing()]))
  const air = nothing()
  const airNode = machine.nodes.find(node => node.kind === 'air')
  for (const row of rows) {
    const i = Math.round((row.at - first) / width)
    if (airNode) air[i] = row.temperatures[airNode.id] ?? Number.NaN
    for (const { axis, atWork } of parts.growthOf(machine, row.temperatures)) growth.get(axis)![i] = atWork
  }
  return { width, at, growth, air, airName: airNode?.name ?? '' }
}

const known = (value: number): number | null => (Number.isFinite(value) ? value : null)

/**
 * What a machine did with its surroundings' changes over a period in which it was at rest.
 *
 * @param window ms; the length within which the largest change is looked for
 */
export const environmentTest = (parts: AppParts, machine: Machine, span: Span, window: number): EnvironmentTest => {
  const points = Math.min(Math.max(Math.ceil(((span.to - span.from) / window) * perWindow), 200), mostIntervals)
  const { width, at, growth, air, airName } = evenGrid(parts, machine, span, points)
  const lag = Math.min(longestLag, (span.to - span.from) / 3)
  return {
    air: airName,
    interval: width,
    at,
    airTemperature: air.map(known),
    axes: [...growth].map(([axis, values]): AxisAtRest => {
      const worst = worstWindow(at, values, window)
      const airSwing = worst ? swingBetween(at, air, worst.from, worst.to) : Number.NaN
      return {
        axis,
        growth: values.map(known),
        worst: worst && { ...worst, airSwing: known(airSwing), ratio: known(worst.change / airSwing) },
        sensitivity: sensitivityToAir(values, air, width, lag),
      }
    }),
  }
}

/**
 * Compares a log with the growth that the stored temperatures of its own time give.
 *
 * @returns null when fewer than two of its values fall where growth is known
 */
export const logComparison = (parts: AppParts, machine: Machine, log: DriftLog): Comparison | null => {
  const from = log.points[0]!.at - hour
  const to = log.points.at(-1)!.at + hour
  const points = Math.min(Math.max(Math.ceil((to - from) / 120_000), 200), mostIntervals)
  const { width, at, growth } = evenGrid(parts, machine, { from, to }, points)
  // a mean over an interval belongs to its middle
  const middles = at.map(t => t + width / 2)
  return compareWithLog(log.points, log.sign, middles, growth.get(log.axis) ?? [], 3 * width)
}
