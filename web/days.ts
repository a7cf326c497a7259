const formatters = new Map<string, Intl.DateTimeFormat>()

/** @param moment ms since 1970 @returns "Wed 25 November" in the shop's zone */
export const formatDay = (moment: number, timeZone: string): string => {
  let formatter = formatters.get(timeZone)
  if (!formatter) {
    formatter = new Intl.DateTimeFormat('en-GB', { timeZone, weekday: 'short', day: 'numeric', month: 'long' })
    formatters.set(timeZone, formatter)
  }
  return formatter.format(moment).replace(',', '')
}
