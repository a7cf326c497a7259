import { DateTime } from 'luxon'
import type { Shop } from '../../core/shop.js'
import type { Service } from '../service.js'

/** h; the work of a week begins on Monday at this time of day */
const workBegins = 6
const proof = [{ firstPart: true }, { by: 'Invented setter', note: 'first part proved (invented)' }] as const

/**
 * What the demo shop's people do while its history is filled in: they prove a first part on each machine when they begin
 * and every Monday morning, so that work which counts from a datum has one.
 *
 * @returns to be called with the history's moment (ms) as it goes on
 */
export const firstPartsProved = ({ actions, monitor }: Pick<Service, 'actions' | 'monitor'>, shop: Shop) => {
  const weekOf = (at: number) =>
    DateTime.fromMillis(at, { zone: shop.timeZone }).minus({ hours: workBegins }).startOf('week').toMillis()
  const proved = new Map<string, number>()
  let busy = false
  return async (now: number): Promise<void> => {
    if (busy) return
    busy = true
    try {
      for (const machine of shop.machines) {
        if (proved.get(machine.id) === weekOf(now)) continue
        if (monitor.machine(machine.id)!.nodes.some(({ temperature }) => temperature === null)) continue
        await actions.setDatum(machine, ...proof)
        proved.set(machine.id, weekOf(now))
      }
    } finally {
      busy = false
    }
  }
}
