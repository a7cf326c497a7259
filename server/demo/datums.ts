import { DateTime } from 'luxon'
import type { Shop } from '../../core/shop.js'
import type { Service } from '../service.js'

/** h; the work of a week begins on Monday at this time of day */
const workBegins = 6

type Parts = Pick<Service, 'actions' | 'monitor'>

/**
 * Sets a datum, a first part proved, on each machine as soon as all its nodes are known, and again whenever its time has a
 * new name.
 *
 * @returns to be called with the moment (ms) as time goes on
 */
const datumsSet = (
  { actions, monitor }: Parts,
  shop: Shop,
  who: { by: string; note: string },
  nameOf: (at: number) => number,
) => {
  const set = new Map<string, number>()
  let busy = false
  return async (now: number): Promise<void> => {
    if (busy) return
    busy = true
    try {
      for (const machine of shop.machines) {
        if (set.get(machine.id) === nameOf(now)) continue
        if (monitor.machine(machine.id)!.nodes.some(({ temperature }) => temperature === null)) continue
        // history goes by so fast that the moment itself is over: its temperatures are those that were believed at it
        const moment = set.has(machine.id) ? { at: nameOf(now) } : {}
        await actions.setDatum(machine, { ...moment, firstPart: true }, who)
        set.set(machine.id, nameOf(now))
      }
    } finally {
      busy = false
    }
  }
}

/**
 * What the demo shop's people do while its history is filled in: they prove a first part on each machine when they begin
 * and every Monday morning, so that work which counts from a datum has one.
 */
export const firstPartsProved = (parts: Parts, shop: Shop) =>
  datumsSet(parts, shop, { by: 'Invented setter', note: 'first part proved (invented)' }, at =>
    DateTime.fromMillis(at, { zone: shop.timeZone })
      .minus({ hours: workBegins })
      .startOf('week')
      .plus({ hours: workBegins })
      .toMillis(),
  )

/** In a replay nobody sets a datum: its beginning is taken for one, and its note says so. */
export const zeroedAtTheBeginning = (parts: Parts, shop: Shop) =>
  datumsSet(parts, shop, { by: 'the replay', note: 'taken to be zero at its beginning; nobody set it' }, () => 0)
