import type { Sensor } from '../../core/shop.js'
import { absoluteZero, toFahrenheit, toPerMinute } from '../../core/units.js'

/** One reading to be published. */
export interface Sending {
  sensor: Sensor
  /** ms; the time it carries, where its payload has one */
  at: number
  /** °C, 1/s, or 1 and 0 */
  value: number
}

/** what is computed is rounded: six decimals hide what that leaves behind (68.00000000000001) and lose nothing real */
const tidy = (value: number): number => Number(value.toFixed(6))

/** as the sensor would send it */
const onTheWire = (value: number, { unit, scale = 1 }: Sensor): number => {
  if (unit === 'state') return value
  if (unit === '°F') return tidy(toFahrenheit(value) / scale)
  if (unit === '1/min') return tidy(toPerMinute(value) / scale)
  if (unit === 'K') return tidy((value - absoluteZero) / scale)
  return scale === 1 ? value : tidy(value / scale)
}

type Json = { [key: string]: unknown } | unknown[]

/** the path of the whole message, or item */
const whole = '.'

const isPlace = (key: string | undefined): boolean => key === 'last' || /^\d+$/.test(key ?? '')

/** a list where the path has an index next, otherwise an object without a prototype */
const fresh = (next: string | undefined): Json => (isPlace(next) ? [] : (Object.create(null) as Json))

/** Puts a value at a path into a JSON value. @returns the value that has it */
const put = (into: Json | undefined, path: string, value: unknown): Json => {
  const keys = path.split('.')
  const root = into ?? fresh(keys[0])
  let at = root as { [key: string]: unknown }
  keys.forEach((key, i) => {
    const own = key === 'last' ? '0' : key
    if (i === keys.length - 1) at[own] = value
    else {
      if (typeof at[own] !== 'object' || at[own] === null) at[own] = fresh(keys[i + 1])
      at = at[own] as { [key: string]: unknown }
    }
  })
  return root
}

type JsonForm = Extract<Sensor['payload'], { kind: 'json' }>

/** one reading in a message, or an item of a list, beside what others have put there */
const withReading = (into: Json | undefined, { sensor, at, value }: Sending, form: JsonForm): unknown => {
  const written = onTheWire(value, sensor)
  if (form.value === whole) return written
  let json = put(into, form.value, written)
  if (form.time !== undefined) json = put(json, form.time, new Date(at).toISOString())
  if (form.name !== undefined) json = put(json, form.name, sensor.nameOnBroker ?? sensor.id)
  if (form.unit !== undefined && sensor.unit !== 'state') json = put(json, form.unit, sensor.unit)
  return json
}

/**
 * The messages that carry readings of one topic and moment, each in the form that its sensor has in the shop file: bare
 * numbers, a list for those that come in lists, one message for each where a message names its sensor, and otherwise one
 * JSON message with the values of all.
 *
 * @param together of the same topic and time
 */
export const payloadsOf = (together: readonly Sending[]): string[] => {
  const payloads: string[] = []
  const lists = new Map<string, { form: JsonForm; items: unknown[] }>()
  let shared: Json | undefined
  for (const sending of together) {
    const { sensor, value } = sending
    const form = sensor.payload
    if (form.kind === 'number') payloads.push(String(onTheWire(value, sensor)))
    else if (form.readings !== undefined) {
      const key = JSON.stringify(form)
      const list = lists.get(key) ?? { form, items: [] }
      list.items.push(withReading(undefined, sending, form))
      lists.set(key, list)
    } else if (form.name !== undefined || form.value === whole)
      payloads.push(JSON.stringify(withReading(undefined, sending, form)))
    else shared = withReading(shared, sending, form) as Json
  }
  for (const { form, items } of lists.values())
    payloads.push(JSON.stringify(form.readings === whole ? items : put(undefined, form.readings!, items)))
  if (shared) payloads.push(JSON.stringify(shared))
  return payloads
}

/** whether the sensor's messages say when they were measured */
export const carriesTime = ({ payload }: Sensor): boolean => payload.kind === 'json' && payload.time !== undefined
