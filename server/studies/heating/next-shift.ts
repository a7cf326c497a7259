import type { HeatingAnswer, Setback } from '../../../core/heating/index.js'
import type { Machine, Shop } from '../../../core/shop.js'
import type { Monitor } from '../../monitor/monitor.js'
import { finestClass, heatingStarts, shiftsAhead } from './start.js'

const day = 86_400_000

/**
 * When the heating must come on for the next shift, for the finest work class: what the morning check says of it.
 *
 * @param setbacksOf what the past shows of a machine's air
 * @throws when the shop has no work class
 */
export const heatingForNextShift = async (
  parts: { shop: Shop; monitor: Pick<Monitor, 'circumstances'> },
  setbacksOf: (machine: Machine) => Promise<Setback[]>,
  now: number,
): Promise<HeatingAnswer> => {
  const { shop } = parts
  const workClass = finestClass(shop)
  if (!workClass) throw new Error('the shop file states no work class')
  const shifts = shiftsAhead(shop, now)
  const goal = shifts[0] ?? now + day
  const setbacks = new Map<string, Setback[]>()
  for (const machine of shop.machines) setbacks.set(machine.id, await setbacksOf(machine))
  const machines = await heatingStarts(parts, shop.machines, workClass, setbacks, now, goal)
  return { at: now, goal, shifts, workClass: workClass.id, machines }
}
