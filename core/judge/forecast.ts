import { spreadAt } from '../settling/index.js'
import type { ForecastBand } from '../state.js'
import type { Outlook } from './outlook.js'
import { type Moved, movedTrajectory, type PlannedAir, stateOn, type Trajectory, trajectoryUnder } from './plan.js'

/** K, standard; no learned forecast counts as surer, for its sensor has noise and a resolution. Judgement, no source */
const courseFloor = 0.05

/**
 * Temperatures and growth ahead, with intervals. It yields after every few milliseconds of computing, so that the
 * service can do other things in between.
 *
 * Each uncertain input is moved by its standard uncertainty in turn (where each node is heading, its time constant, how
 * the air ordinarily changes: the same air for all nodes that follow it) and the changes are added as squares, so that
 * what several nodes owe to one air is not counted as independent.
 *
 * @param plan   changes of the air that are intended; none: conditions hold
 * @param length s; how far ahead it looks
 * @param count moments wanted, evenly spaced, the first now
 * @returns s from now; °C and K in the order of the machine's nodes; m, growth where the work is held against the reference
 *   temperature, in the order of its axes
 * @see JCGM 100:2008 (GUM), 5.1, and for common causes 5.2
 */
export function* lookingAhead(
  outlook: Outlook,
  plan: readonly PlannedAir[],
  length: number,
  count: number,
): Generator<void, { times: number[]; nodes: ForecastBand[]; axes: ForecastBand[] }> {
  const varied: Moved[] = []
  const airChange = Math.max(...outlook.nodes.map(node => (node.follows < 0 ? node.ordinaryChange : 0)), 0)
  if (airChange > 0) varied.push({ airShift: airChange })
  const courses = outlook.nodes.map(node => (plan.length === 0 && node.course ? node.course() : null))
  // what keeps several nodes from their courses is in part the same air: half of the variance, our judgement
  const half = Math.SQRT1_2
  if (courses.some(Boolean)) varied.push({ off: { node: 'all', by: half } })
  outlook.nodes.forEach((node, i) => {
    if (courses[i]) {
      varied.push({ off: { node: i, by: half } })
      return
    }
    if (!Number.isFinite(node.timeConstant)) return
    const by = node.steadyUncertainty
    if (by > 0) varied.push({ steadyShift: { node: i, by } })
    const pace = 1 + node.timeConstantUncertainty
    if (pace > 1) varied.push({ pace: { node: i, by: pace } })
  })
  const base = trajectoryUnder(outlook, plan, length)
  const variations: Trajectory[] = []
  for (const moved of varied) {
    yield
    variations.push(movedTrajectory(base, moved))
  }
  const last = base.part.length - 1
  const picks = Array.from({ length: count }, (_, k) => Math.round((k * last) / Math.max(count - 1, 1)))
  const times = picks.map(k => k * base.step)
  const band = (of: (trajectory: Trajectory, k: number) => number, floor: number): ForecastBand => ({
    mean: picks.map(k => of(base, k)),
    standardUncertainty: picks.map(k => {
      const mean = of(base, k)
      let squares = floor ** 2
      for (const trajectory of variations) squares += (of(trajectory, k) - mean) ** 2
      return Math.sqrt(squares)
    }),
  })
  const nodes: ForecastBand[] = []
  for (const [i, node] of outlook.nodes.entries()) {
    yield
    const course = courses[i]
    const floor = Math.hypot(node.calibration, node.placement)
    const found = band((trajectory, k) => trajectory.nodes[i]![k]!, floor)
    // learned courses are compared with what their own sensors came to read: the sensors' errors are in them
    nodes.push(
      course
        ? { ...found, standardUncertainty: times.map(ahead => Math.max(spreadAt(course, ahead), courseFloor)) }
        : found,
    )
  }
  const axes: ForecastBand[] = []
  for (const { axis, growthAt } of outlook.loop.axes) {
    yield
    const found = band((trajectory, k) => growthAt(axis.workAt, stateOn(trajectory, k * base.step).nodes), 0)
    axes.push(withSpindle(found, outlook, axis.id, times))
  }
  return { times, nodes, axes }
}

/** An axis with what its spindle adds if that goes on as it turns now, where its speed is known. @param times s from now */
const withSpindle = (
  band: ForecastBand,
  { spindle }: Outlook,
  axis: string,
  times: readonly number[],
): ForecastBand => {
  if (spindle?.axis !== axis || !spindle.held) return band
  const held = times.map(spindle.held)
  return {
    mean: band.mean.map((mean, i) => mean + spindle.sign * held[i]!.growth),
    standardUncertainty: band.standardUncertainty.map((u, i) => Math.hypot(u, held[i]!.standardUncertainty)),
  }
}
