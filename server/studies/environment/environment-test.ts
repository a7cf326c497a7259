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
import { evenly, growthOver, type Past, type Span } from '../../history/index.js'

const hour = 3_600_000

/** a window holds at least so many intervals, where the sensors report often enough */
const perWindow = 60
const mostIntervals = 5000
/** ms; the longest lag between air and growth that is looked for */
const longestLag = 12 * hour

interface AxisAtRest {
  axis: string
  /** m by interval; null where a node it depends on has no reading */
  growth: (number | null)[]
  /** with the swing of the air in that same window, K, and growth change over swing, m/K; null when nothing is known */
  worst: (WorstWindow & { airSwing: number | null; ratio: number | null }) | null
  sensitivity: Sensitivity | null
}

interface EnvironmentTest {
  /** name of the node whose air counts */
  air: string
  /** ms; width of an interval, and the moments they begin at */
  interval: number
  at: number[]
  /** °C by interval */
  airTemperature: (number | null)[]
  axes: AxisAtRest[]
}

/**
 * Growth at the work and air on an even grid, NaN where nothing was known. Changes are what counts here: offsets and
 * factors are those in force at the end, throughout.
 */
const evenGrid = async (past: Past, machine: Machine, span: Span, points: number) => {
  const history = await growthOver(past, machine, span, points, span.to)
  const { width, rows } = history
  const even = rows.length === 0 ? [] : evenly(history, { from: rows[0]!.at, to: rows.at(-1)!.at + width })
  const airNode = machine.nodes.findIndex(node => node.kind === 'air')
  return {
    width,
    at: even.map(({ at }) => at),
    growth: new Map(machine.axes.map(({ id }, i) => [id, even.map(({ row }) => row?.axes[i]?.atWork ?? Number.NaN)])),
    air: even.map(({ row }) => row?.nodes[airNode]?.temperature ?? Number.NaN),
    airName: machine.nodes[airNode]?.name ?? '',
  }
}

const known = (value: number): number | null => (Number.isFinite(value) ? value : null)

/**
 * What a machine did with its surroundings' changes over a period in which it was at rest.
 *
 * @param window ms; the length within which the largest change is looked for
 */
export const environmentTest = async (
  past: Past,
  machine: Machine,
  span: Span,
  window: number,
): Promise<EnvironmentTest> => {
  const points = Math.min(Math.max(Math.ceil(((span.to - span.from) / window) * perWindow), 200), mostIntervals)
  const { width, at, growth, air, airName } = await evenGrid(past, machine, span, points)
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
export const logComparison = async (past: Past, machine: Machine, log: DriftLog): Promise<Comparison | null> => {
  const from = log.points[0]!.at - hour
  const to = log.points.at(-1)!.at + hour
  const points = Math.min(Math.max(Math.ceil((to - from) / 120_000), 200), mostIntervals)
  const { width, at, growth } = await evenGrid(past, machine, { from, to }, points)
  // a mean over an interval belongs to its middle
  const middles = at.map(t => t + width / 2)
  return compareWithLog(log.points, log.sign, middles, growth.get(log.axis) ?? [], 3 * width)
}
