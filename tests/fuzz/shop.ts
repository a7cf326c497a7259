import type { PayloadForm, Sensor, TopicMapping } from '../../core/shop.js'
import { sensor, withoutTopic } from '../server/ingest/sensors.js'

/** a moment around which the times of the messages lie; the service's own clock shows it */
export const now = Date.UTC(2026, 0, 14, 12)

/** What somebody or something publishes. */
export interface Message {
  topic: string
  payload: Uint8Array
  retained: boolean
  /** it may have waited at the broker while the service was away */
  waited: boolean
}

const json = (form: Omit<PayloadForm & { kind: 'json' }, 'kind'>): PayloadForm => ({ kind: 'json', ...form })

/** one sensor of each dialect that stands on a topic of its own and says one thing in a message */
export const plain = [
  sensor('bare', { payload: { kind: 'number' } }),
  sensor('bare-f', { payload: { kind: 'number' }, unit: '°F' }),
  sensor('timed'),
  sensor('timed-k', { unit: 'K' }),
  sensor('deep', { payload: { kind: 'json', value: 'a.b.0', time: 'a.t' } }),
  sensor('door', { payload: { kind: 'number' }, unit: 'state' }),
]

/** also tells of its battery and its radio */
export const radio = sensor('radio', {
  payload: json({
    value: 'value',
    time: 'time',
    battery: { at: 'battery', unit: '%' },
    signal: { at: 'rssi', unit: 'dBm' },
  }),
})

const named = json({ readings: 'data.list', name: 'id', value: 'v', time: 't' })
/** whose readings come as lists: one by itself, two that share a topic and are told apart by name */
export const listed = [
  sensor('whole', { topic: 'list/whole', payload: json({ readings: '.', value: 'v', time: 't' }) }),
  sensor('first', { topic: 'list/named', payload: named, nameOnBroker: 'A 1' }),
  sensor('second', { topic: 'list/named', payload: named, nameOnBroker: '7', unit: '°F' }),
]

export const topics: TopicMapping[] = [
  { pattern: 'plant/{sensor}/temperature', sensor: '{sensor}', payload: { kind: 'number' } },
  {
    pattern: 'gateway/{line}/box_{box}',
    sensor: '{line}/{name}',
    payload: json({ readings: 'data', name: 'id', value: 't.0', time: 'at', unit: 'u' }),
  },
]
/** found by the named parts of their topics; the last two have names that every JavaScript object knows */
export const mapped = [
  withoutTopic('tt-1', { nameOnBroker: 'TT 1' }),
  withoutTopic('box-7', { nameOnBroker: 'west/7', scale: 0.1 }),
  withoutTopic('box-x', { nameOnBroker: 'west/Ö', unit: '°F' }),
  withoutTopic('proto', { nameOnBroker: '__proto__' }),
  withoutTopic('constructor', { unit: 'K' }),
]

const metric = (id: string, name: string, device: string | undefined, different: Partial<Sensor> = {}) =>
  withoutTopic(id, { sparkplug: { group: 'g', node: 'n', metric: name, ...(device && { device }) }, ...different })
/** metrics of one edge node and of two devices behind it */
export const metrics = [
  metric('air', 'Air', undefined),
  metric('screw', 'Screw', 'd'),
  metric('bed', 'Bed', 'd', { unit: '°F', scale: 0.1 }),
  metric('gate', 'Gate', 'e', { unit: 'state' }),
]

export const sensors: Sensor[] = [...plain, radio, ...listed, ...mapped, ...metrics]
