import type { PlannedJob } from '../../../core/morning/index.js'
import type { Shop } from '../../../core/shop.js'
import type { Monitor } from '../../monitor/index.js'
import type { Store } from '../../store/store.js'

/** ms; what was measured so long before and after counts as then */
const about = 15 * 60_000

/**
 * The outdoor temperature that a job's part had when it was brought in, °C; where that is still to come, or was just now,
 * the present one. null where the part does not come from there, or nothing is known of it.
 */
export const outdoorsAt = async (
  { shop, store, monitor }: { shop: Shop; store: Pick<Store, 'series'>; monitor: Pick<Monitor, 'shop'> },
  { from }: PlannedJob,
  now: number,
): Promise<number | null> => {
  if (from.kind !== 'outdoors') return null
  if (from.broughtIn > now - about) return monitor.shop().outdoors
  const means: number[] = []
  for (const { id, at, offset } of shop.sensors) {
    if (at.kind !== 'outdoors') continue
    const { points } = await store.series(id, from.broughtIn - about, from.broughtIn + about, 2)
    for (const { mean } of points) means.push(mean + offset)
  }
  return means.length > 0 ? means.reduce((sum, each) => sum + each, 0) / means.length : null
}
