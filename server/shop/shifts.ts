import type { Shift } from '../../core/shop.js'
import { inWords, type Reader, section, value } from './section.js'

const names = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun']
const daysRemedy = 'write mon-fri, or days with commas between: mon-thu, sat'

/** `mon-fri`, `sat`, `mon-thu, sat`; a span may go over the end of the week: `sun-thu`. @returns 1 Monday … 7 Sunday */
const days: Reader<number[]> = raw => {
  const found = new Set<number>()
  for (const part of typeof raw === 'string' ? raw.toLowerCase().split(',') : ['']) {
    const [first = -1, last = first, ...rest] = part.split('-').map(name => names.indexOf(name.trim()))
    if (first < 0 || last < 0 || rest.length > 0)
      return { problem: `${inWords(raw)} are no days of the week`, remedy: daysRemedy }
    for (let day = first; ; day = (day + 1) % 7) {
      found.add(day + 1)
      if (day === last) break
    }
  }
  return { value: [...found].sort((a, b) => a - b) }
}

/** @returns min after midnight */
const timeOfDay: Reader<number> = raw => {
  const [, hour = '', minute = ''] = /^(\d\d?):(\d\d)$/.exec(typeof raw === 'string' ? raw.trim() : '') ?? []
  const minutes = 60 * Number(hour) + Number(minute)
  if (hour !== '' && Number(minute) < 60 && minutes <= 24 * 60) return { value: minutes }
  return { problem: `${inWords(raw)} is not a time of day`, remedy: 'write it by a 24-hour clock: 06:00 or 22:30' }
}

/** When people work, by the shop's clock. */
export const shift = section({ days: value(days), from: value(timeOfDay), to: value(timeOfDay) }).transform(
  (own): Shift => own,
)
