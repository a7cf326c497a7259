import type { Sensor } from '../../core/shop.js'
import type { Reading, Refusal } from './reading.js'
import { type Read, type RefusalReason, reasons } from './reasons.js'
import { aheadAllowed, readTime } from './time.js'
import { readValue } from './value.js'

/** bytes; a reading needs a few dozen */
export const largestPayload = 64 * 1024
const sampleLength = 200

export interface Delivery {
  /** the broker kept this message and hands it out because we subscribed: nobody knows how old it is */
  retained: boolean
  /** ms since 1970, by our clock */
  receivedAt: number
  /** ms since 1970; readings from before are gone by retention and not taken any more; 0 if not given */
  keptSince?: number
  /** whether the sensor's message may have waited at the broker while we were away; if not given, it came at once */
  mayHaveWaited?: (sensor: Sensor) => boolean
}

/** One message can hold the readings of several sensors, some of them readable and some not. */
export interface Decoded {
  readings: Reading[]
  refusals: Refusal[]
}

export type Decode = (topic: string, payload: Uint8Array, delivery: Delivery) => Decoded

/** drops a byte order mark, and puts a mark in place of what is not UTF-8 */
const utf8 = new TextDecoder()

const printable = (text: string): string => text.replace(/[\p{C}\p{Zl}\p{Zp}]/gu, '·')

const beginning = (payload: Uint8Array): string => printable(utf8.decode(payload.subarray(0, 4 * sampleLength)))

/** what stands at a dotted path; own keys only, so that "constructor" is not found in every object */
const at = (value: unknown, path: string): unknown => {
  let found = value
  for (const key of path.split('.')) {
    if (typeof found !== 'object' || found === null || !Object.hasOwn(found, key)) return undefined
    found = (found as Record<string, unknown>)[key]
  }
  return found
}

type Parsed = { json: unknown } | undefined

const parse = (text: string): Parsed => {
  try {
    return { json: JSON.parse(text) as unknown }
  } catch {
    return undefined
  }
}

/** why a sensor's part of a message was not taken, and what is said behind the sample */
interface Refused {
  reason: RefusalReason
  note?: string
}

const timeOf = (sensor: Sensor, own: { time: unknown } | undefined, delivery: Delivery): Read => {
  if (own) return own.time === undefined ? { reason: reasons.timeMissing } : readTime(own.time)
  if (delivery.retained) return { reason: reasons.retained }
  if (delivery.mayHaveWaited?.(sensor)) return { reason: reasons.waited }
  return { value: Math.round(delivery.receivedAt) }
}

const extract = (
  sensor: Sensor,
  raw: unknown,
  own: { time: unknown } | undefined,
  delivery: Delivery,
): Reading | Refused => {
  if (raw === undefined) return { reason: reasons.valueMissing }
  const value = readValue(raw, sensor.unit)
  if ('reason' in value) return value
  const time = timeOf(sensor, own, delivery)
  if ('reason' in time) return time
  const { receivedAt, keptSince = 0 } = delivery
  const ahead = time.value - receivedAt
  if (ahead > aheadAllowed)
    return { reason: reasons.future, note: ` (${Math.round(ahead / 1000)} s ahead of the service's clock)` }
  if (time.value < keptSince) return { reason: reasons.pruned }
  return { sensor: sensor.id, at: time.value, value: value.value, receivedAt }
}

/**
 * Makes what turns messages into readings. The result never throws and keeps nothing: whatever is published, each
 * sensor's part of it ends as a reading or as a refusal with its reason.
 *
 * A sensor's own time is believed up to a minute ahead of our clock and any time back. A retained message, and one that
 * may have waited at the broker, is taken only with a time of its own.
 */
export const createDecoder = (sensors: readonly Sensor[]): Decode => {
  const byTopic = new Map<string, Sensor[]>()
  for (const sensor of sensors) byTopic.set(sensor.topic, [...(byTopic.get(sensor.topic) ?? []), sensor])

  return (topic, payload, delivery) => {
    const decoded: Decoded = { readings: [], refusals: [] }
    const refuse = ({ reason, note = '' }: Refused) => {
      decoded.refusals.push({
        at: delivery.receivedAt,
        topic: printable(topic.slice(0, sampleLength)),
        reason,
        sample: beginning(payload).slice(0, sampleLength - note.length) + note,
      })
    }
    const known = byTopic.get(topic)
    if (!known) {
      refuse({ reason: reasons.unknownTopic })
      return decoded
    }
    if (payload.length > largestPayload) {
      refuse({ reason: reasons.tooLarge, note: ` (${payload.length} bytes)` })
      return decoded
    }

    const text = utf8.decode(payload)
    const parsed = known.some(sensor => sensor.payload.kind === 'json') ? parse(text) : undefined
    for (const sensor of known) {
      const form = sensor.payload
      let outcome: Reading | Refused
      if (form.kind === 'number') outcome = extract(sensor, text, undefined, delivery)
      else if (!parsed) outcome = { reason: reasons.notJson }
      else {
        const own = form.time === undefined ? undefined : { time: at(parsed.json, form.time) }
        outcome = extract(sensor, at(parsed.json, form.value), own, delivery)
      }
      if ('reason' in outcome) refuse(outcome)
      else decoded.readings.push(outcome)
    }
    return decoded
  }
}
