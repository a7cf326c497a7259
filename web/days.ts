import { type Zone, zoneName } from '../core/format.js'

const formatters = new Map<string, Intl.DateTimeFormat>()

/** @param moment ms since 1970 @returns "Wed 25 November" in the shop's zone */
export const formatDay = (moment: number, zone: Zone): string => {
  let formatter = formatters.get(zoneName(zone))
  if (!formatter) {
    formatter = new Intl.DateTimeFormat('en-GB', {
      timeZone: zoneName(zone),
      weekday: 'short',
      day: 'numeric',
      month: 'long',
    })
    formatters.set(zoneName(zone), formatter)
  }
  return formatter.format(moment).replace(',', '')
}
