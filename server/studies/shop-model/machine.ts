import type { Machine } from '../../../core/shop.js'
import type { MachineOverSpan, NodeOverSpan } from '../../../core/shop-model/index.js'
import { type Past, readLoops, type Span, temperaturesOver } from '../../history/index.js'
import { identificationsOf } from '../identification/index.js'
import { spacing } from '../identification/means.js'

/** s, and relative: of a body of which nothing is stated or identified. Judgement, no source */
const unstated = { timeConstant: 3600, uncertainty: 0.5 }

/**
 * A machine over a span as it was believed then, with the offsets, the time constants and the factors of its thermal loop that were
 * in force at the span's end.
 *
 * @param span ms; whole intervals of `spacing`
 * @returns the machine with the growth of one of its axes (an id), or of none (null)
 */
export const machineCourse = async (
  past: Past,
  machine: Machine,
  span: Span,
): Promise<(axis: string | null) => MachineOverSpan> => {
  const { from, to } = span
  const length = (to - from) / spacing
  const { rows, width } = await temperaturesOver(past, machine, span, length, to)
  const identified = await identificationsOf(past.shop, past.store, machine, to)
  // where a sensor reports seldom a row is longer than the spacing
  const rowAt = new Map(rows.map(({ at, nodes }) => [at, nodes]))
  const nodesIn = Array.from({ length }, (_, i) => rowAt.get(Math.floor((from + (i + 0.5) * spacing) / width) * width))
  const nodes = machine.nodes.map((node, n): NodeOverSpan => {
    const inUse = identified.find(each => each.node.id === node.id)?.inUse
    return {
      ...{
        id: node.id,
        name: node.name,
        kind: node.kind,
        ...(node.follows !== undefined && { follows: node.follows }),
      },
      timeConstant: inUse?.timeConstant ?? node.timeConstant ?? unstated.timeConstant,
      uncertainty: inUse?.uncertainty ?? node.timeConstantUncertainty ?? unstated.uncertainty,
      temperature: Float64Array.from(nodesIn, row => row?.[n]?.temperature ?? Number.NaN),
    }
  })
  const loop = (await readLoops(past, machine, to))(to)
  return axis => {
    const chosen = loop.axes.find(each => each.axis.id === axis)
    return {
      ...{ id: machine.id, nodes },
      growth: chosen ? temperatures => chosen.growthAt(chosen.axis.workAt, temperatures) : null,
    }
  }
}
