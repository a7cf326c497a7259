import { type Soaking, soak } from '../../core/settling/index.js'
import type { Machine } from '../../core/shop.js'
import type { Datum } from '../../core/state.js'
import type { Past } from './in-force.js'
import { temperaturesAt, temperaturesOver } from './temperatures.js'

/** after so many of its time constants, where a part began no longer matters */
const runUpLength = 6
const runUpPoints = 300

/** °C; the part on the machine at a moment, from the node it is taken from; null when that was not known */
const partAt = async (past: Past, machine: Machine, at: number): Promise<number | null> => {
  const { node, timeConstant } = machine.workpiece
  const index = machine.nodes.findIndex(({ id }) => id === node)
  const from = at - Math.max(runUpLength * 1000 * timeConstant, 3_600_000)
  const { rows, width } = await temperaturesOver(past, machine, { from, to: at }, runUpPoints, at)
  let part: Soaking | null = null
  for (const { at: begin, nodes } of rows) {
    const surroundings = nodes[index]?.temperature
    const end = Math.min(begin + width, at)
    if (surroundings === undefined) continue
    part ??= { at: begin, temperature: surroundings, slope: 0 }
    part = soak(part, surroundings, timeConstant, (end - part.at) / 1000)
  }
  return part?.temperature ?? null
}

/**
 * A machine's thermal state at a past moment, as it was believed then and as the monitor would have given it for a datum.
 *
 * @param at ms
 * @returns °C, by node and of the part; `missing` names the nodes of which nothing was believed: a datum needs none
 */
export const thermalStateAt = async (
  past: Past,
  machine: Machine,
  at: number,
): Promise<Pick<Datum, 'temperatures' | 'part'> & { missing: string[] }> => {
  const temperatures = await temperaturesAt(past, machine, at)
  const part = await partAt(past, machine, at)
  return {
    temperatures,
    ...(part !== null && { part }),
    missing: machine.nodes.flatMap(({ id, name }) => (id in temperatures ? [] : [name])),
  }
}
