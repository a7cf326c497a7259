import type { Machine } from '../../../core/shop.js'
import { lagged, type MachineCourse, type NodeCourse } from '../../../core/shop-model/index.js'
import { type Past, readLoops } from '../../history/index.js'
import { identificationsOf } from '../identification/index.js'
import { spacing } from '../identification/means.js'
import type { CourseReader } from './courses.js'

/** s, and relative: of a body of which nothing is stated or identified. Judgement, no source */
const unstated = { timeConstant: 3600, uncertainty: 0.5 }

/**
 * A machine over the span of a reader: its nodes as measured, those without a sensor as they follow their surroundings, with the
 * time constants and the factors of its thermal loop that were in force at the span's end.
 *
 * @returns the machine with the growth of one of its axes (an id), or of none (null)
 */
export async function* machineCourse(
  past: Past,
  machine: Machine,
  reader: CourseReader,
): AsyncGenerator<void, (axis: string | null) => MachineCourse> {
  const { to, from } = reader.span
  const identified = await identificationsOf(past.shop, past.store, machine, to)
  const measured = new Map<string, Float64Array>()
  for (const { id } of machine.nodes) {
    const own = yield* reader.node(machine, id)
    if (own) measured.set(id, own)
  }
  const length = (to - from) / spacing
  const settling = (id: string) => {
    const node = machine.nodes.find(each => each.id === id)!
    const inUse = identified.find(each => each.node.id === id)?.inUse
    return {
      timeConstant: inUse?.timeConstant ?? node.timeConstant ?? unstated.timeConstant,
      uncertainty: inUse?.uncertainty ?? node.timeConstantUncertainty ?? unstated.uncertainty,
    }
  }
  const nodes = machine.nodes.map(({ id, name, kind, follows }): NodeCourse => {
    const own = measured.get(id)
    const around = follows === undefined ? undefined : measured.get(follows)
    const { timeConstant, uncertainty } = settling(id)
    const temperature =
      own ?? (around ? lagged(around, timeConstant, spacing / 1000) : new Float64Array(length).fill(Number.NaN))
    return {
      ...{ id, name, kind, ...(follows !== undefined && { follows }), timeConstant, uncertainty },
      temperature,
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
