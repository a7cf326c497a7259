import type { PayloadForm } from '../../core/shop.js'
import { deviceForms, deviceKeys } from './device.js'
import { or, timeZone } from './readers.js'
import { inWords, isMap, keysIn, looked, picked, type Reader, section, value } from './section.js'

const jsonPath: Reader<string> = raw => {
  const written = typeof raw === 'string' || typeof raw === 'number' ? String(raw).trim() : ''
  if (written === '.' || written.split('.').every(step => step !== '')) return { value: written }
  return {
    problem: `${inWords(raw)} is not a path into a JSON message`,
    remedy:
      'write its keys joined by dots, for example value or data.temperature, and in a list the place from 0: probes.1.t',
  }
}

const path = value(or(jsonPath, undefined))

const json = (written: Record<string, unknown>) =>
  section({
    value: value(jsonPath),
    time: path,
    readings: path,
    name: path,
    unit: path,
    'time zone': value(or(timeZone, undefined)),
    ...deviceKeys(jsonPath, written),
  }).transform((own): PayloadForm => ({ kind: 'json', ...own, ...deviceForms(own) }))

/** several readings of one sensor at the moment of arrival would all be one */
const jsonForm = looked<PayloadForm>((raw, say, take) => {
  if (isMap(raw) && raw.readings !== undefined && raw.name === undefined && raw.time === undefined)
    say(
      'the readings of a list have neither a time of their own nor the name of a sensor',
      {
        remedy: 'write where in each item its time or its name is, for example { readings: data, value: t, time: at }',
      },
      ['readings'],
    )
  return take(json(keysIn(raw)), raw)
})

/** How a message is read. */
export const payload = picked<PayloadForm>(raw =>
  typeof raw === 'object' && raw !== null
    ? jsonForm
    : looked<PayloadForm>((written, say) => {
        if (written === 'number') return { kind: 'number' }
        return say(`${inWords(written)} is not a form of payload`, {
          remedy: 'write number, or where a JSON message has its value and time: { value: value, time: time }',
        })
      }),
)
