import { isThermometer, type PayloadForm, type Sensor, type TopicMapping } from '../../core/shop.js'
import { type Condition, readBattery, readSignal, type Telling, usualLowBattery } from './condition.js'
import { at } from './json-path.js'
import { createMapping, type Route } from './mapping.js'
import type { Reading, Refusal } from './reading.js'
import { type Read, type RefusalReason, reasons } from './reasons.js'
import { createSparkplugSessions, type SparkplugMessage, type SparkplugNode } from './sparkplug/sessions.js'
import { sparkplugTopic } from './sparkplug/topic.js'
import { aheadAllowed, readTime } from './time.js'
import type { Found } from './unassigned.js'
import { readUnit, readValue } from './value.js'

/** bytes; a reading needs a few dozen */
export const largestPayload = 64 * 1024
/** bytes; the birth of an edge node with thousands of metrics */
const largestSparkplug = 1024 * 1024
/** items of a list in one message */
export const longestList = 1000
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
  /** told of every time a sensor sends: by how much it is ahead of our clock, ms */
  timed?: (sensor: string, ahead: number) => void
}

/** One message can hold the readings of several sensors, some of them readable and some not. */
export interface Decoded {
  readings: Reading[]
  refusals: Refusal[]
  /** what devices tell of themselves beside their readings */
  conditions?: Condition[]
  /** what names no sensor of the shop */
  unassigned?: Found[]
  /** sensors that are gone at once (why), or back (null): the deaths and births of Sparkplug nodes */
  lost?: { sensors: string[]; reason: string | null }[]
  /** a Sparkplug node whose birth would be needed */
  rebirth?: SparkplugNode
}

interface Decode {
  /** never throws */
  (topic: string, payload: Uint8Array, delivery: Delivery): Decoded
  /** messages may have been missed: Sparkplug births are not known any more */
  forgetBirths(): void
  /** Sparkplug nodes whose birth is not known */
  unborn(): SparkplugNode[]
}

/** drops a byte order mark, and puts a mark in place of what is not UTF-8 */
const utf8 = new TextDecoder()

const printable = (text: string): string => text.replace(/[\p{C}\p{Zl}\p{Zp}]/gu, '·')
const short = (text: string): string => printable(text.slice(0, sampleLength))

const beginning = (payload: Uint8Array): string =>
  printable(utf8.decode(payload.subarray(0, 4 * sampleLength))).slice(0, sampleLength)

type Parsed = { json: unknown } | undefined

const parse = (text: string): Parsed => {
  try {
    return { json: JSON.parse(text) as unknown }
  } catch {
    return undefined
  }
}

/** a message at which the service failed, by a mistake of its own: counted and kept to look at like any other refused one */
export const brokenOff = (topic: string, payload: Uint8Array, at: number, error: unknown): Refusal => {
  const behind = short(` (${error instanceof Error ? error.message : String(error)})`).slice(0, sampleLength / 2)
  const sample = beginning(payload).slice(0, sampleLength - behind.length) + behind
  return { at, topic: short(topic), reason: reasons.broke, sample }
}

/** why a sensor's part of a message was not taken, and what is said behind the sample */
interface Refused {
  reason: RefusalReason
  note?: string
}

const arrival = (sensor: Sensor, delivery: Delivery): Read => {
  if (delivery.retained) return { reason: reasons.retained }
  if (delivery.mayHaveWaited?.(sensor)) return { reason: reasons.waited }
  return { value: Math.round(delivery.receivedAt) }
}

/** @param own its own time; not given when the message has none by its form */
const moment = (sensor: Sensor, own: Read | undefined, delivery: Delivery): { value: number } | Refused => {
  const time = own ?? arrival(sensor, delivery)
  if ('reason' in time) return time
  const { receivedAt, keptSince = 0 } = delivery
  const ahead = time.value - receivedAt
  if (own) delivery.timed?.(sensor.id, ahead)
  if (ahead > aheadAllowed)
    return { reason: reasons.future, note: ` (${Math.round(ahead / 1000)} s ahead of the service's clock)` }
  return time.value < keptSince ? { reason: reasons.pruned } : time
}

const reading = (sensor: Sensor, value: Read, own: Read | undefined, delivery: Delivery): Reading | Refused => {
  if ('reason' in value) return value
  const time = moment(sensor, own, delivery)
  if ('reason' in time) return time
  return { sensor: sensor.id, at: time.value, value: value.value, receivedAt: delivery.receivedAt }
}

const valueIn = (item: unknown, form: PayloadForm, { unit, scale }: Sensor): Read => {
  if (form.kind === 'number') return readValue(item, unit, scale)
  const raw = at(item, form.value)
  if (raw === undefined) return { reason: reasons.valueMissing }
  const said = form.unit === undefined || !isThermometer({ unit }) ? undefined : at(item, form.unit)
  if (said === undefined || said === null) return readValue(raw, unit, scale)
  const itsUnit = readUnit(said)
  return itsUnit ? readValue(raw, itsUnit, scale) : { reason: reasons.unknownUnit }
}

const timeIn = (item: unknown, form: PayloadForm): Read | undefined => {
  if (form.kind === 'number' || form.time === undefined) return undefined
  const raw = at(item, form.time)
  return raw === undefined ? { reason: reasons.timeMissing } : readTime(raw, form.timeZone)
}

/** the readings one message holds: each item of its list, or the message itself */
const itemsIn = (form: PayloadForm, text: string, parsed: Parsed): unknown[] | Refused => {
  if (form.kind === 'number') return [text]
  if (!parsed) return { reason: reasons.notJson }
  if (form.readings === undefined) return [parsed.json]
  const list = at(parsed.json, form.readings)
  if (!Array.isArray(list)) return { reason: reasons.noList }
  return list.length > longestList ? { reason: reasons.longList, note: ` (${list.length})` } : list
}

/** ms by the specification, so nothing is told by its size here */
const sparkplugTime = (time: number | undefined): Read | undefined => {
  if (time === undefined) return undefined
  return time >= 0 && time < 1e14 ? { value: time } : { reason: reasons.badTime }
}

/** what stands where a device tells of its battery and its signal */
const tellingIn = (item: unknown, { battery, signal }: Extract<PayloadForm, { kind: 'json' }>): Telling => ({
  ...(battery && { battery: { form: battery, raw: at(item, battery.at) } }),
  ...(signal && { signal: { form: signal, raw: at(item, signal.at) } }),
})

/**
 * Makes what turns messages into readings. Whatever is published, each sensor's part of it ends as a reading or as a
 * refusal with its reason; what names no sensor at all is unassigned. Keeps nothing but the births of Sparkplug nodes.
 *
 * A sensor's own time is believed up to a minute ahead of our clock and any time back. A retained message, and one that
 * may have waited at the broker, is taken only with a time of its own. What a device tells of its battery and signal has
 * the time of its reading; where that is refused for its time, so are they, without another word.
 *
 * @param lowBattery %, for mappings that do not say themselves what is low
 */
export const createDecoder = (
  sensors: readonly Sensor[],
  topics: readonly TopicMapping[] = [],
  lowBattery = usualLowBattery,
  sessions = createSparkplugSessions(sensors),
): Decode => {
  const routesOf = createMapping(sensors, topics)

  const decodeSound = (topic: string, payload: Uint8Array, delivery: Delivery): Decoded => {
    const decoded: Decoded = { readings: [], refusals: [] }
    // made when it is first needed: most messages are sound
    let shownOnce: { topic: string; sample: string } | undefined
    const shown = () => {
      shownOnce ??= { topic: short(topic), sample: beginning(payload) }
      return shownOnce
    }
    const refuse = ({ reason, note = '' }: Refused) => {
      const { topic: from, sample } = shown()
      const behind = short(note)
      const kept = sample.slice(0, sampleLength - behind.length) + behind
      decoded.refusals.push({ at: delivery.receivedAt, topic: from, reason, sample: kept })
    }
    const keep = (outcome: Reading | Refused) => {
      if ('reason' in outcome) refuse(outcome)
      else decoded.readings.push(outcome)
    }
    const told = (sensor: Sensor, own: Read | undefined, { battery, signal }: Telling) => {
      const time = moment(sensor, own, delivery)
      if ('reason' in time) return
      const condition: Condition = { sensor: sensor.id }
      const left = battery && readBattery(battery.raw, battery.form, lowBattery, time.value)
      const received = signal && readSignal(signal.raw, signal.form, time.value)
      if (left && 'reason' in left) refuse(left)
      else if (left) condition.battery = left
      if (received && 'reason' in received) refuse(received)
      else if (received) condition.signal = received
      if (!condition.battery && !condition.signal) return
      decoded.conditions ??= []
      decoded.conditions.push(condition)
    }
    const unassigned = (name: string, beginsWith: string) => {
      decoded.unassigned ??= []
      decoded.unassigned.push({
        topic: shown().topic,
        name: short(name),
        at: delivery.receivedAt,
        sample: short(beginsWith),
      })
    }
    const tooLarge = (largest: number): boolean => {
      if (payload.length > largest) refuse({ reason: reasons.tooLarge, note: ` (${payload.length} bytes)` })
      return payload.length > largest
    }

    const readItem = (route: Route, item: unknown) => {
      const { form } = route
      const inMessage = form.kind === 'json' && form.name !== undefined ? at(item, form.name) : ''
      if (typeof inMessage !== 'string' && typeof inMessage !== 'number') {
        refuse({ reason: reasons.nameMissing })
        return
      }
      const name = route.nameOf(String(inMessage).trim())
      const those = route.sensors(name)
      if (those.length === 0) unassigned(name, shown().sample)
      for (const sensor of those) {
        const own = timeIn(item, form)
        keep(reading(sensor, valueIn(item, form, sensor), own, delivery))
        if (form.kind === 'json' && (form.battery || form.signal)) told(sensor, own, tellingIn(item, form))
      }
    }

    const readSparkplug = ({ values, telling, refused, unassigned: metrics, lost, rebirth }: SparkplugMessage) => {
      refused.forEach(refuse)
      for (const { sensor, raw, time } of values)
        keep(reading(sensor, readValue(raw, sensor.unit, sensor.scale), sparkplugTime(time), delivery))
      for (const { sensor, time, ...what } of telling) told(sensor, sparkplugTime(time), what)
      for (const { name, value } of metrics) unassigned(name, value)
      if (lost.length > 0) decoded.lost = lost
      if (rebirth) decoded.rebirth = rebirth
    }

    const node = sparkplugTopic(topic)
    if (node && sessions.knows(node)) {
      if (!tooLarge(largestSparkplug)) readSparkplug(sessions.read(node, payload))
      return decoded
    }
    const routes = routesOf(topic)
    if (routes.length === 0) refuse({ reason: reasons.unknownTopic })
    if (routes.length === 0 || tooLarge(largestPayload)) return decoded

    const text = utf8.decode(payload)
    const parsed = routes.some(({ form }) => form.kind === 'json') ? parse(text) : undefined
    for (const route of routes) {
      const items = itemsIn(route.form, text, parsed)
      if ('reason' in items) refuse(items)
      else for (const item of items) readItem(route, item)
    }
    return decoded
  }

  /** A message that makes anything throw would come again, and throw again, for as long as it is not acknowledged. */
  const decode = (topic: string, payload: Uint8Array, delivery: Delivery): Decoded => {
    try {
      return decodeSound(topic, payload, delivery)
    } catch (error) {
      return { readings: [], refusals: [brokenOff(topic, payload, delivery.receivedAt, error)] }
    }
  }

  return Object.assign(decode, { forgetBirths: sessions.forget, unborn: sessions.unborn })
}
