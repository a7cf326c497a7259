import type { Machine } from '../../core/shop.js'
import { toPerMinute } from '../../core/units.js'
import { Refused } from './refused.js'

/**
 * Nothing is planned on a machine faster than its builder allows (`highest speed` in the shop file).
 *
 * @param speeds 1/s
 * @param what   that turns so fast, as a sentence begins
 * @throws Refused 400 that names the speed, the limit and `where`
 */
export const withinBuilderLimit = (
  { name, spindle }: Pick<Machine, 'name' | 'spindle'>,
  speeds: readonly number[],
  what: string,
  where: string,
): void => {
  const limit = spindle?.highest
  const fastest = Math.max(...speeds)
  if (limit === undefined || !(fastest > limit * (1 + 1e-9))) return
  const perMinute = (speed: number) => `${Math.round(toPerMinute(speed))} 1/min`
  throw new Refused(
    400,
    `${what} would turn at ${perMinute(fastest)}; the highest speed of ${name} is ${perMinute(limit)}.`,
    where,
    'Stay at or below it; it stands in the shop file, as the machine builder states it. Nothing was stored.',
  )
}
