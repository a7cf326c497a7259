/** How a date that is written in numbers is meant: 3/4 is the 3rd of April, or the 4th of March. */
export type DateOrder = 'day first' | 'month first'

const yearFirst = /^(\d{4})[-./](\d{1,2})[-./](\d{1,2})$/
const yearLast = /^(\d{1,2})([-./])(\d{1,2})\2(\d{4}|\d\d)$/
const withName = /^(\d{1,2})[-./]([a-z]{3})[-./](\d{4}|\d\d)$/i
const clock = /^(\d{1,2}):(\d\d)(?::(\d\d)(?:[.,](\d{1,18}))?)?([ap]\.?m\.?)?$/i
const halfOfDay = /^([ap])\.?m\.?$/i
const months = ['jan', 'feb', 'mar', 'apr', 'may', 'jun', 'jul', 'aug', 'sep', 'oct', 'nov', 'dec']

const two = (number: number | string): string => String(number).padStart(2, '0')

/** first and second number and year of a date such as 3/4/2026, whose order must be known; null for any other text */
export const numbersOf = (date: string): { first: number; second: number; year: number } | null => {
  const found = yearLast.exec(date)
  // between points the day comes first wherever dates are written so
  if (!found || found[2] === '.') return null
  return { first: Number(found[1]), second: Number(found[3]), year: fullYear(found[4]!) }
}

const fullYear = (text: string): number => (text.length === 2 ? 2000 + Number(text) : Number(text))

/** @returns YYYY-MM-DD; null when it is no date */
const isoDate = (text: string, order: DateOrder | null): string | 'unclear' | null => {
  const ordered = yearFirst.exec(text)
  if (ordered) return `${ordered[1]}-${two(ordered[2]!)}-${two(ordered[3]!)}`
  const named = withName.exec(text)
  if (named) {
    const month = months.indexOf(named[2]!.toLowerCase()) + 1
    return month > 0 ? `${fullYear(named[3]!)}-${two(month)}-${two(named[1]!)}` : null
  }
  const found = yearLast.exec(text)
  if (!found) return null
  const [first, second, year] = [found[1]!, found[3]!, fullYear(found[4]!)]
  const meant = found[2] === '.' ? 'day first' : order
  if (meant === null) return 'unclear'
  return meant === 'day first' ? `${year}-${two(second)}-${two(first)}` : `${year}-${two(first)}-${two(second)}`
}

/** @returns HH:MM:SS.sss with a 24-hour clock; null when it is no time of day */
const isoClock = (text: string, half: string): string | null => {
  const found = clock.exec(text)
  if (!found) return null
  const [, hour, minute, second = '00', fraction, own = ''] = found
  let hours = Number(hour)
  const letter = (own || half).charAt(0).toLowerCase()
  if (letter !== '') {
    if (hours < 1 || hours > 12) return null
    hours = (hours % 12) + (letter === 'p' ? 12 : 0)
  }
  return `${two(hours)}:${minute}:${second}${fraction ? `.${fraction}` : ''}`
}

/**
 * Date and time of day as loggers and spreadsheets write them, in the form of ISO 8601: `14.01.2026 8:30`,
 * `1/14/26 8:30 pm`, `14-Jan-2026 08:30`, `2026/01/14 08:30:00`.
 *
 * @param order of dates in numbers with the year last and no points; null when it is not known
 * @returns null when it is something else; "unclear" when the order would be needed
 */
export const isoOf = (text: string, order: DateOrder | null): string | 'unclear' | null => {
  // what is longer is no time, and is not taken apart
  if (text.length > 100) return null
  const parts = text.split(/[ \u00a0\u202f]/).filter(part => part !== '')
  const date = isoDate((parts.shift() ?? '').replace(/,$/, ''), order)
  if (date === null) return null
  // a spreadsheet's date has a midnight behind it, and the time of day stands in the next column
  if (parts.length > 1 && /^0?0:00(?::00)?$/.test(parts[0]!) && clock.test(parts[1]!)) parts.shift()
  const time = parts.shift() ?? ''
  const half = halfOfDay.test(parts[0] ?? '') ? parts.shift()! : ''
  const written = isoClock(time, half)
  if (written === null || parts.length > 1) return null
  return date === 'unclear' ? date : `${date} ${written}${parts[0] ?? ''}`
}

/** A time of day by either clock, `5:30 pm` or `17:30`, as `17:30`; null when it is none. */
export const clockOf = (text: string): string | null => {
  if (text.length > 100) return null
  const [hour, minute] = isoClock(text.trim().replace(/ ([ap]\.?m\.?)$/i, '$1'), '')?.split(':') ?? []
  return hour !== undefined && Number(hour) <= 23 && Number(minute) <= 59 ? `${hour}:${minute}` : null
}

/** What a cell may hold, seen by itself. */
export const timeKind = (text: string): 'moment' | 'date' | 'clock' | null => {
  if (text.length > 100) return null
  if (isoClock(text.replace(/ ([ap]\.?m\.?)$/i, '$1'), '') !== null) return 'clock'
  if (isoDate(text, 'day first') !== null) return 'date'
  if (isoOf(text, 'day first') !== null || /^\d{4}-\d\d-\d\dT\d\d:\d\d/.test(text)) return 'moment'
  return null
}

const minute = 60_000
const day = 86_400_000

/** Tells the order of the dates of a column by all of them together. */
export class OrderEvidence {
  private readonly sides = {
    'day first': { possible: true, last: Number.NaN, longest: 0, newest: 0 },
    'month first': { possible: true, last: Number.NaN, longest: 0, newest: 0 },
  }
  /** dates that tell something */
  seen = 0
  /** one that can be meant either way; empty when there is none */
  example = ''
  private alike = true

  take(text: string): void {
    const found = numbersOf(text.trim().split(/[ ,]/)[0] ?? '')
    if (!found) return
    this.seen += 1
    const { first, second, year } = found
    if (first !== second) this.alike = false
    if (this.example === '' && first !== second && first <= 12 && second <= 12) this.example = text
    for (const [order, side] of Object.entries(this.sides)) {
      const [date, month] = order === 'day first' ? [first, second] : [second, first]
      if (month > 12) side.possible = false
      const at = Date.UTC(year, month - 1, date)
      const step = Math.abs(at - side.last)
      if (step > side.longest) side.longest = step
      if (at > side.newest) side.newest = at
      side.last = at
    }
  }

  /**
   * @param now ms; nothing was recorded after it
   * @returns null when it cannot be told
   */
  order(now: number): DateOrder | null {
    const { 'day first': day1, 'month first': month1 } = this.sides
    const tells = (test: (side: typeof day1) => boolean): DateOrder | null =>
      test(day1) === test(month1) ? null : test(day1) ? 'day first' : 'month first'
    if (this.seen === 0 || this.alike) return 'day first'
    return (
      tells(side => side.possible) ??
      tells(side => side.newest <= now + day + minute) ??
      // a recording goes on from day to day, and does not leap from month to month
      (Math.min(day1.longest, month1.longest) <= 2 * day && Math.max(day1.longest, month1.longest) >= 20 * day
        ? tells(side => side.longest <= 2 * day)
        : null)
    )
  }
}
