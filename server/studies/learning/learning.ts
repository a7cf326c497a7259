import { DateTime } from 'luxon'
import { type LoopAxis, type ThermalLoop, thermalLoop } from '../../../core/growth/index.js'
import {
  effectsBetween,
  type HeldOut,
  type Learned,
  learnFactors,
  loopElements,
  type MeasuredGrowth,
  validate,
} from '../../../core/learning/index.js'
import type { Machine } from '../../../core/shop.js'
import type { Measurement } from '../../../core/state.js'
import { measurementsOf } from '../../actions/index.js'
import { byNode, type NodesThen, nodesAt, type Past } from '../../history/index.js'

/** A measurement with what the nominal model says of it. */
interface Judged {
  measurement: Measurement
  /** null when it cannot be used; then `why` says why */
  growth: MeasuredGrowth | null
  why: string
}

export interface Learning {
  judged: Judged[]
  learned: Learned
  elements: ReturnType<typeof loopElements>
  /** errors are those of the measurements that can be used, in their order */
  heldOut: HeldOut | null
}

/** @param correctedAt ms; whose offsets are applied */
type NodesAt = (machine: Machine, at: number, correctedAt: number) => Promise<NodesThen>

/** Temperatures at past moments, each asked for once as soon as all nodes with a sensor are known from it. */
export const rememberedNodes = (past: Past): NodesAt => {
  const known = new Map<string, NodesThen>()
  return async (machine, at, correctedAt) => {
    const key = `${machine.id} ${at} ${correctedAt}`
    const before = known.get(key)
    if (before) return before
    const found = await nodesAt(past, machine, at, correctedAt)
    if (found.every(node => node?.from === 'sensor' || node?.from === 'prediction')) known.set(key, found)
    return found
  }
}

const missingNode = (machine: Machine, needed: readonly number[], found: NodesThen): string | null => {
  const index = needed.find(i => !found[i])
  return index === undefined ? null : machine.nodes[index]!.name
}

/** m; what growth at a position is uncertain by because nodes were taken from another one's sensors (standard) */
const uncertaintyOfStandIns = ({ growthAt }: LoopAxis, position: number, nodes: NodesThen): number => {
  const t = nodes.map(node => node?.temperature ?? Number.NaN)
  const growth = growthAt(position, t)
  return Math.hypot(
    ...nodes.map((node, i) =>
      node?.from === 'stand-in' || node?.from === 'surroundings'
        ? growthAt(position, t.with(i, t[i]! + node.placement)) - growth
        : 0,
    ),
  )
}

const judge = async (
  machine: Machine,
  loop: ThermalLoop,
  measurement: Measurement,
  nodesAt: NodesAt,
  { timeZone: zone, correctedAt }: { timeZone: string; correctedAt: number },
): Promise<Judged> => {
  const cannot = (why: string): Judged => ({ measurement, growth: null, why })
  const { position, zeroAt, at } = measurement
  if (measurement.setAside) return cannot('set aside')
  const axis = loop.axes.find(a => a.axis.id === measurement.axis)
  if (!axis) return cannot(`the machine has no axis ${measurement.axis} any more`)
  const before = await nodesAt(machine, zeroAt, correctedAt)
  const after = await nodesAt(machine, at, correctedAt)
  const atZero = missingNode(machine, axis.nodes, before)
  if (atZero) return cannot(`${atZero}: no reading near the zero was believed`)
  const then = missingNode(machine, axis.nodes, after)
  if (then) return cannot(`${then}: no reading near the time was believed`)
  return {
    measurement,
    why: '',
    growth: {
      value: measurement.value,
      uncertainty: Math.hypot(
        measurement.uncertainty,
        uncertaintyOfStandIns(axis, position, before),
        uncertaintyOfStandIns(axis, position, after),
      ),
      occasion: DateTime.fromMillis(zeroAt, { zone }).toISODate() ?? '',
      zero: `${measurement.axis} ${zeroAt}`,
      effects: effectsBetween(loop, measurement.axis, position, byNode(machine, before), byNode(machine, after)),
    },
  }
}

/**
 * What a machine's measurements say of its loop's elements, against the nominal model. Days of zeroing are the occasions.
 * Temperatures are those that were believed then; where a stand-in was, the measurement counts for less.
 */
export const learningOf = async (parts: Past, machine: Machine, nodesAt: NodesAt): Promise<Learning> => {
  const { shop, store } = parts
  const loop = thermalLoop(machine, shop.referenceTemperature)
  const elements = loopElements(loop)
  const corrections = (await store.facts.of('offset')).map(change => change.at)
  const judged: Judged[] = []
  for (const measurement of await measurementsOf(store, machine.id)) {
    // as a datum moves with an offset that is accepted later: a correction between zero and reading is no growth
    const correctedAt = Math.max(0, ...corrections.filter(at => at <= measurement.at))
    judged.push(await judge(machine, loop, measurement, nodesAt, { timeZone: shop.timeZone, correctedAt }))
  }
  const usable = judged.flatMap(({ growth }) => growth ?? [])
  return { judged, elements, learned: learnFactors(usable, elements), heldOut: validate(usable, elements) }
}
