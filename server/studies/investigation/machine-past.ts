import type { LoopAxis, ThermalLoop } from '../../../core/growth/index.js'
import type { AxisAt, AxisVariances } from '../../../core/investigation/index.js'
import { partUncertainty } from '../../../core/judge/index.js'
import type { Soaking } from '../../../core/settling/index.js'
import type { Machine } from '../../../core/shop.js'
import { type NodesThen, type Past, readLoops, type Span, soakedUntil, temperaturesOver } from '../../history/index.js'
import { Turn } from '../../turns.js'

const minute = 60_000
const day = 86_400_000
/** ms; how finely the past is looked at, by how long a stretch is asked for: a year by the hour */
const steps = [
  { upTo: 10 * day, step: 5 * minute },
  { upTo: 60 * day, step: 15 * minute },
  { upTo: Number.POSITIVE_INFINITY, step: 60 * minute },
]
/** K; step of the numerical derivative: the model is piecewise linear, so its size hardly matters */
const nudge = 0.01

/** @returns ms; the width of the intervals in which a stretch is looked at */
export const stepFor = ({ from, to }: Span): number => steps.find(({ upTo }) => to - from <= upTo)!.step

/** One axis of a machine over a stretch of time; NaN where a node it depends on was not known. */
interface AxisPast {
  growth: Float64Array
  tilt: Float64Array
  perMetre: Float64Array
  /** variances by the placement and calibration of its sensors, see `AxisVariances` */
  size: Float64Array
  both: Float64Array
  position: Float64Array
  calibration: Float64Array
  expansion: number
}

/**
 * A machine over a stretch of time as it was believed then, on even steps: looked up once, however many parts were cut
 * on it.
 */
export interface MachinePast {
  machine: Machine
  /** ms; where the first value's interval begins */
  from: number
  step: number
  count: number
  /** °C of the air that the work stands in; NaN where it was not known */
  air: Float64Array
  airNode: string
  /** °C of a part on the machine, soaked in what surrounds it; and K, standard, how sure that is */
  part: Float64Array
  partUncertainty: Float64Array
  /** by axis id */
  axes: ReadonlyMap<string, AxisPast>
  loopAt: (at: number) => ThermalLoop
}

const isBending = (element: LoopAxis['elements'][number]) => element.kind === 'bending column'

/** an axis at temperatures of the machine's nodes, °C */
export const axisAt = (
  { axis, elements, growthAt, growthPerMetre }: LoopAxis,
  temperatures: ArrayLike<number>,
  part: number,
): AxisAt => ({
  growth: growthAt(axis.workAt, temperatures),
  tilt: elements.reduce((sum, each) => sum + (isBending(each) ? each.growthAt(axis.workAt, temperatures) : 0), 0),
  perMetre: growthPerMetre(temperatures),
  part,
})

/** how size (per metre) and position change with each node of an axis, 1/K and m/K */
const slopesOf = (axis: LoopAxis, temperatures: Float64Array) => {
  const before = axisAt(axis, temperatures, 0)
  return axis.nodes.map(node => {
    const moved = axisAt(axis, temperatures.with(node, temperatures[node]! + nudge), 0)
    return {
      node,
      size: (moved.perMetre - before.perMetre) / nudge,
      position: (moved.growth - before.growth) / nudge,
    }
  })
}

const emptyAxis = (axis: LoopAxis, count: number): AxisPast => {
  const unknown = () => new Float64Array(count).fill(Number.NaN)
  return {
    growth: unknown(),
    tilt: unknown(),
    perMetre: unknown(),
    size: unknown(),
    both: unknown(),
    position: unknown(),
    calibration: unknown(),
    expansion: Math.max(0, ...axis.elements.map(({ material }) => material.alphaUncertainty)),
  }
}

/** the air that the machine's work stands in: the part's, else the first there is */
const airOf = ({ nodes, workpiece }: Machine): number => {
  const own = nodes.findIndex(({ id }) => id === workpiece.node)
  return nodes[own]?.kind === 'air' ? own : nodes.findIndex(({ kind }) => kind === 'air')
}

/**
 * Looks a machine's past up over a stretch.
 *
 * @param from ms, on a whole step
 */
export const machinePast = async (past: Past, machine: Machine, span: Span, step: number): Promise<MachinePast> => {
  const loopAt = await readLoops(past, machine)
  const points = Math.ceil((span.to - span.from) / step)
  const { width, rows } = await temperaturesOver(past, machine, span, points)
  const from = Math.floor(span.from / width) * width
  const count = Math.max(1, Math.ceil((span.to - from) / width))
  const unknown = () => new Float64Array(count).fill(Number.NaN)
  const course = {
    machine,
    from,
    step: width,
    count,
    air: unknown(),
    part: unknown(),
    partUncertainty: unknown(),
    airNode: machine.nodes[airOf(machine)]?.id ?? '',
    axes: new Map(loopAt(span.to).axes.map(axis => [axis.axis.id, emptyAxis(axis, count)])),
    loopAt,
  }
  const follow = following(machine, course)
  const turn = new Turn()
  for (const { at, nodes } of rows) {
    if (turn.isOver) await turn.next()
    const index = Math.round((at - from) / width)
    if (index >= 0 && index < count) follow(index, at, nodes)
  }
  return course
}

/** puts what was known in an interval at its index */
const following = (machine: Machine, course: MachinePast) => {
  const { workpiece } = machine
  const [air, bath] = [airOf(machine), machine.nodes.findIndex(({ id }) => id === workpiece.node)]
  const slopes = new Map<LoopAxis, ReturnType<typeof slopesOf>>()
  let part: Soaking | null = null
  return (index: number, at: number, nodes: NodesThen): void => {
    const temperatures = Float64Array.from(nodes, node => node?.temperature ?? Number.NaN)
    course.air[index] = temperatures[air] ?? Number.NaN
    const around = nodes[bath]
    if (around) {
      part = soakedUntil(part, at + course.step, around.temperature, workpiece.timeConstant)
      course.part[index] = part.temperature
      course.partUncertainty[index] = partUncertainty(
        Math.hypot(around.calibration, around.placement, workpiece.uncertainty),
        part.slope,
      )
    }
    for (const axis of course.loopAt(at).axes) {
      const into = course.axes.get(axis.axis.id)!
      const now = axisAt(axis, temperatures, 0)
      into.growth[index] = now.growth
      into.tilt[index] = now.tilt
      into.perMetre[index] = now.perMetre
      if (!Number.isFinite(now.growth + now.perMetre)) continue
      let own = slopes.get(axis)
      if (!own) {
        own = slopesOf(axis, temperatures)
        slopes.set(axis, own)
      }
      let [size, both, position, calibration] = [0, 0, 0, 0]
      for (const slope of own) {
        const { placement, calibration: off } = nodes[slope.node]!
        size += (slope.size * placement) ** 2
        both += slope.size * slope.position * placement ** 2
        position += (slope.position * placement) ** 2
        calibration += (slope.size * off) ** 2
      }
      into.size[index] = size
      into.both[index] = both
      into.position[index] = position
      into.calibration[index] = calibration
    }
  }
}

/** between the middles of intervals; what is known alone where its neighbour is not */
const between = (values: Float64Array, index: number): number => {
  const below = Math.floor(index)
  const [low, high] = [values[below] ?? Number.NaN, values[below + 1] ?? Number.NaN]
  if (Number.isNaN(low)) return index - below > 0.5 ? high : low
  if (Number.isNaN(high)) return index - below < 0.5 ? low : high
  return low + (index - below) * (high - low)
}

/** An axis and the part at a moment, ms, with how sure that is; null where it was not known. */
export const believedAt = (
  course: MachinePast,
  axis: string,
  at: number,
): { now: AxisAt; variances: AxisVariances } | null => {
  const own = course.axes.get(axis)
  if (!own) return null
  const index = (at - course.from) / course.step - 0.5
  const nearest = Math.min(Math.max(Math.round(index), 0), course.count - 1)
  const now = {
    growth: between(own.growth, index),
    tilt: between(own.tilt, index),
    perMetre: between(own.perMetre, index),
    part: between(course.part, index),
  }
  if (!Number.isFinite(now.growth + now.perMetre + now.part)) return null
  return {
    now,
    variances: {
      placement: { size: own.size[nearest]!, both: own.both[nearest]!, position: own.position[nearest]! },
      calibration: own.calibration[nearest]!,
      part: course.partUncertainty[nearest]!,
      expansion: own.expansion,
    },
  }
}
