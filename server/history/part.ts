import { type Soaking, soak } from '../../core/settling/index.js'
import type { Machine } from '../../core/shop.js'
import type { Past } from './in-force.js'
import { temperaturesOver } from './temperatures.js'

/** after so many of its time constants, where a part began no longer matters */
const soaked = 6
const points = 120

/**
 * Carries a part on to a moment, in surroundings that stayed as they are. One that nothing is known of is as warm as they
 * are.
 *
 * @param at           ms
 * @param surroundings °C
 * @param timeConstant s
 */
export const soakedUntil = (part: Soaking | null, at: number, surroundings: number, timeConstant: number): Soaking =>
  part
    ? soak(part, surroundings, timeConstant, Math.max(0, at - part.at) / 1000)
    : { at, temperature: surroundings, slope: 0 }

/**
 * A part that has been on a machine for long, at a past moment: soaked in what was believed of the node it takes its
 * temperature from.
 *
 * @param at ms
 * @returns null when nothing was believed of that node
 */
export const partThen = async (past: Past, machine: Machine, at: number): Promise<Soaking | null> => {
  const { node, timeConstant } = machine.workpiece
  const index = machine.nodes.findIndex(({ id }) => id === node)
  const from = at - Math.max(soaked * timeConstant * 1000, 3_600_000)
  const { rows, width } = await temperaturesOver(past, machine, { from, to: at }, points)
  let part: Soaking | null = null
  for (const row of rows) {
    const surroundings = row.nodes[index]?.temperature
    if (surroundings === undefined) continue
    part = soakedUntil(part, Math.min(row.at + width, at), surroundings, timeConstant)
  }
  return part
}

/** Its temperature alone, °C; null when nothing was believed of that node. @param at ms */
export const partAt = async (past: Past, machine: Machine, at: number): Promise<number | null> =>
  (await partThen(past, machine, at))?.temperature ?? null
