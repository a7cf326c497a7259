import type { ForecastBand } from '../state.js'
import type { Outlook } from './job.js'
import { type PlannedAir, type Trajectory, trajectoryUnder } from './plan.js'

export interface Ahead {
  /** s from now */
  times: number[]
  /** °C and K, in the order of the machine's nodes */
  nodes: ForecastBand[]
  /** m, growth at the work against the reference temperature, in the order of its axes */
  axes: ForecastBand[]
}

/**
 * Temperatures and growth ahead, with intervals.
 *
 * Each uncertain input is moved by its standard uncertainty in turn (where each node is heading, its time constant, how
 * the air ordinarily changes: the same air for all nodes that follow it) and the changes are added as squares, so that
 * what several nodes owe to one air is not counted as independent.
 *
 * @param length s, up to 72 h
 * @param count moments wanted, evenly spaced, the first now
 * @see JCGM 100:2008 (GUM), 5.1, and for common causes 5.2
 */
export const ahead = (outlook: Outlook, plan: readonly PlannedAir[], length: number, count: number): Ahead => {
  const base = trajectoryUnder({ outlook, plan }, length)
  const variations: Trajectory[] = []
  const airChange = Math.max(...outlook.nodes.map(node => (node.follows < 0 ? node.ordinaryChange : 0)), 0)
  if (airChange > 0) variations.push(trajectoryUnder({ outlook, plan, airShift: airChange }, length))
  outlook.nodes.forEach((node, i) => {
    if (!Number.isFinite(node.timeConstant)) return
    const by = node.steadyUncertainty
    if (by > 0) variations.push(trajectoryUnder({ outlook, plan, steadyShift: { node: i, by } }, length))
    const pace = 1 + node.timeConstantUncertainty
    if (pace > 1) variations.push(trajectoryUnder({ outlook, plan, pace: { node: i, by: pace } }, length))
  })
  const last = base.states.length - 1
  const picks = Array.from({ length: count }, (_, k) => Math.round((k * last) / Math.max(count - 1, 1)))
  const band = (of: (trajectory: Trajectory, k: number) => number, floor: number): ForecastBand => ({
    mean: picks.map(k => of(base, k)),
    standardUncertainty: picks.map(k => {
      const mean = of(base, k)
      let squares = floor ** 2
      for (const trajectory of variations) squares += (of(trajectory, k) - mean) ** 2
      return Math.sqrt(squares)
    }),
  })
  return {
    times: picks.map(k => k * base.step),
    nodes: outlook.nodes.map((node, i) =>
      band((trajectory, k) => trajectory.states[k]!.nodes[i]!, Math.hypot(node.calibration, node.placement)),
    ),
    axes: outlook.loop.axes.map(({ axis, growthAt }) =>
      band((trajectory, k) => growthAt(axis.workAt, trajectory.states[k]!.nodes), 0),
    ),
  }
}
