import type { Calibration } from '../../core/shop.js'
import { difference, or, positive, text } from './readers.js'
import { inWords, keysIn, picked, type Reader, section, value } from './section.js'

/** A day as ISO 8601 writes it, and one that exists: 2026-02-30 does not. */
const isDay = (written: string): boolean => {
  const time = /^\d{4}-\d{2}-\d{2}$/.test(written) ? Date.parse(`${written}T00:00:00Z`) : Number.NaN
  return !Number.isNaN(time) && new Date(time).toISOString().startsWith(written)
}

const day: Reader<string> = raw => {
  const written = typeof raw === 'string' ? raw.trim() : ''
  if (isDay(written)) return { value: written }
  return { problem: `${inWords(raw)} is not a day`, remedy: 'write year, month and day, for example 2026-03-31' }
}

const dayAfter =
  (date: unknown): Reader<string> =>
  raw => {
    const due = day(raw)
    if ('problem' in due) return due
    const calibrated = day(date)
    if ('problem' in calibrated || due.value > calibrated.value) return due
    return {
      problem: `${inWords(raw)} is not after the calibration itself, ${calibrated.value}`,
      remedy: 'write the day by which it must be calibrated again, or correct date',
    }
  }

const uncertainty = or(positive(difference, '0.05 K'), undefined)

/** When and how well a sensor was calibrated. */
export const calibration = picked<Calibration>(raw =>
  section({
    date: value(or(day, undefined)),
    due: value(or(dayAfter(keysIn(raw).date), undefined)),
    uncertainty: value(uncertainty),
    certificate: value(or(text('no. 1234'), undefined)),
  }),
)
