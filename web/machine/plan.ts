import { DateTime } from 'luxon'
import { formatTemperature, type UnitSystem, type Zone, zoneName } from '../../core/format.js'
import { nameOf } from '../../core/names.js'
import type { Shop } from '../../core/shop.js'
import { clockOf } from '../../core/written-time.js'

/** An intended change: of the air at a machine, or of a source, or of the shop's heating. */
export type Change = { /** ms */ at: number } & (
  | { /** °C */ temperature: number }
  | { source: string; to: 'open' | 'shut' | 'on' | 'off' }
)

/** as the service calls the heating of a shop in a plan */
const heating = 'shop-heating'

/** The plan in the page's address: "1764651600000,20.5" or "1764651600000,dock-door,shut;…". What cannot be read is left out. */
export const readPlan = (text: string | null): Change[] =>
  (text ?? '').split(';').flatMap((part): Change[] => {
    const [moment = '', what = '', to] = part.split(',')
    const at = Number(moment)
    if (moment === '' || what === '' || !Number.isFinite(at)) return []
    if (to === 'open' || to === 'shut' || to === 'on' || to === 'off') return [{ at, source: what, to }]
    const temperature = Number(what)
    return Number.isFinite(temperature) ? [{ at, temperature }] : []
  })

export const writePlan = (plan: readonly Change[]): string =>
  [...plan]
    .sort((a, b) => a.at - b.at)
    .map(change =>
      'source' in change ? `${change.at},${change.source},${change.to}` : `${change.at},${change.temperature}`,
    )
    .join(';')

/** What can happen to a source. */
export const changesOf = (kind: 'door' | 'vent' | 'heat source' | 'heating'): ('open' | 'shut' | 'on' | 'off')[] =>
  kind === 'door' ? ['shut', 'open'] : kind === 'heating' ? ['on', 'off'] : ['off', 'on']

/** "the air goes to 20.5 °C", "Dock door shut", "heating back" */
export const sayChange = (change: Change, { sources }: Pick<Shop, 'sources'>, system: UnitSystem): string => {
  if (!('source' in change)) return `the air goes to ${formatTemperature(change.temperature, system)}`
  if (change.source === heating) return change.to === 'on' ? 'heating back' : 'heating set back'
  return `${nameOf(sources, change.source)} ${change.to}`
}

/**
 * The next moment at which a clock in the shop shows a time.
 *
 * @param clock "05:00" or "5:00 am"
 * @returns ms; null when it is no time of day
 */
export const nextMoment = (clock: string, now: number, zone: Zone): number | null => {
  const [hour, minute] = clockOf(clock)?.split(':').map(Number) ?? []
  if (hour === undefined) return null
  const today = DateTime.fromMillis(now, { zone: zoneName(zone) }).set({
    hour,
    minute: minute!,
    second: 0,
    millisecond: 0,
  })
  return (today.toMillis() > now ? today : today.plus({ days: 1 })).toMillis()
}
