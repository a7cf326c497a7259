import type { PlannedJob } from '../../../core/morning/index.js'
import { type Past, quarterHour } from '../../history/index.js'
import type { Monitor } from '../../monitor/index.js'
import { believedIntervals, intervalWidth, readBeliefs } from '../records/intervals.js'

/**
 * The outdoor temperature that a job's part had when it was brought in, °C, as it was believed then and to the quarter of
 * an hour before and after; where that is still to come, or was just now, the present one. null where the part does not
 * come from there, or nothing is known of it.
 */
export const outdoorsAt = async (
  past: Past,
  monitor: Pick<Monitor, 'shop'>,
  { from }: PlannedJob,
  now: number,
): Promise<number | null> => {
  if (from.kind !== 'outdoors') return null
  const { broughtIn } = from
  if (broughtIn > now - quarterHour) return monitor.shop().outdoors
  const sensors = past.shop.sensors.filter(({ at }) => at.kind === 'outdoors')
  const width = intervalWidth(sensors)
  const whole = Math.floor(broughtIn / width) * width
  const beliefs = await readBeliefs(past, sensors, whole - width)
  const means: number[] = []
  for (const sensor of sensors)
    for (const interval of await believedIntervals(
      past,
      beliefs,
      sensor,
      { from: whole - width, to: whole + 2 * width },
      width,
    ))
      if (interval) means.push(interval.mean)
  return means.length > 0 ? means.reduce((sum, each) => sum + each, 0) / means.length : null
}
