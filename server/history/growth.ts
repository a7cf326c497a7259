import { type LoopFactors, type ThermalLoop, thermalLoop } from '../../core/growth/index.js'
import { growthUncertainty } from '../../core/judge/index.js'
import type { Machine } from '../../core/shop.js'
import { newestAt, type Past } from './in-force.js'
import type { Span } from './span.js'
import { type NodesThen, temperaturesOver } from './temperatures.js'

/** An axis in an interval of the past; NaN where a node it depends on was not known: a partial sum would look like growth. */
export interface AxisThen {
  axis: string
  /** m; growth against the reference temperature at axis position 0, where the work is held, and at full travel */
  atZero: number
  atWork: number
  atTravel: number
  /** m; standard uncertainty where the work is held */
  uncertainty: number
  /** a node that it depends on was taken from another one's sensors */
  standIn: boolean
}

export interface GrowthHistory {
  /** ms; every row is a mean over so much time */
  width: number
  /** in order of time, ms at which their interval begins; nodes and axes in the machine's order */
  rows: { at: number; nodes: NodesThen; axes: AxisThen[] }[]
}

/**
 * The rows of a history on even intervals, from the one in which a span begins to the one in which it ends: none is left out.
 *
 * @returns each with the moment, ms, at which its interval begins; undefined where nothing was known in it
 */
export const evenly = (
  { rows, width }: GrowthHistory,
  { from, to }: Span,
): { at: number; row: GrowthHistory['rows'][number] | undefined }[] => {
  const first = Math.floor(from / width) * width
  const found = new Map(rows.map(row => [Math.round((row.at - first) / width), row]))
  const count = Math.max(0, Math.ceil((to - first) / width))
  return Array.from({ length: count }, (_, k) => ({ at: first + k * width, row: found.get(k) }))
}

const axesThen = (loop: ThermalLoop, nodes: NodesThen): AxisThen[] => {
  const t = nodes.map(node => node?.temperature ?? Number.NaN)
  const isReplaced = (index: number) => nodes[index]?.from === 'stand-in' || nodes[index]?.from === 'surroundings'
  return loop.axes.map(each => {
    const { axis, growthAt } = each
    return {
      axis: axis.id,
      atZero: growthAt(0, t),
      atWork: growthAt(axis.workAt, t),
      atTravel: growthAt(axis.travel, t),
      uncertainty: growthUncertainty(each, t, nodes),
      standIn: each.nodes.some(isReplaced),
    }
  })
}

/**
 * The thermal loop of a machine with the factors that were in force, by moment.
 *
 * @param correctedAt ms; the factors of this one moment hold throughout. If not given, each moment has its own
 * @returns at a moment, ms: the same loop for as long as its factors were in force
 */
export const readLoops = async (
  past: Past,
  machine: Machine,
  correctedAt?: number,
): Promise<(at: number) => ThermalLoop> => {
  const changes = (await past.store.facts.of('factors', { subject: machine.id })).reverse()
  const loopWith = (factors: LoopFactors) => thermalLoop(machine, past.shop.referenceTemperature, factors)
  const nominal = loopWith({})
  const accepted = new Map(changes.map(change => [change, change.factors ? loopWith(change.factors) : nominal]))
  return at => accepted.get(newestAt(changes, correctedAt ?? at)!) ?? nominal
}

/**
 * Growth of a machine's axes over a span, with its uncertainty and the temperatures it was computed from: as they were
 * believed then (see `temperaturesOver`), with the factors of its thermal loop that were in force then.
 *
 * @param points about how many intervals are wanted
 * @param correctedAt ms; offsets and factors of this one moment hold throughout, so that a correction accepted within the
 *   span does not read as growth. If not given, each moment has its own
 */
export const growthOver = async (
  past: Past,
  machine: Machine,
  span: Span,
  points: number,
  correctedAt?: number,
): Promise<GrowthHistory> => {
  const loopAt = await readLoops(past, machine, correctedAt)
  const { width, rows } = await temperaturesOver(past, machine, span, points, correctedAt)
  return { width, rows: rows.map(({ at, nodes }) => ({ at, nodes, axes: axesThen(loopAt(at), nodes) })) }
}
