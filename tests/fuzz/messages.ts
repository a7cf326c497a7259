import fc from 'fast-check'
import type { Sensor } from '../../core/shop.js'
import { sensor } from '../server/ingest/sensors.js'
import { hostileText, hostileTexts } from './hostile.js'

/** a moment around which the times of the messages lie; the service's own clock shows it */
export const now = Date.UTC(2026, 0, 14, 12)

/** one sensor of each dialect that stands on a topic of its own */
export const sensors = [
  sensor('bare', { payload: { kind: 'number' } }),
  sensor('bare-f', { payload: { kind: 'number' }, unit: '°F' }),
  sensor('timed'),
  sensor('timed-k', { unit: 'K' }),
  sensor('deep', { payload: { kind: 'json', value: 'a.b.0', time: 'a.t' } }),
  sensor('door', { payload: { kind: 'number' }, unit: 'state' }),
]

export interface Message {
  topic: string
  payload: Uint8Array
  retained: boolean
  waited: boolean
}

const bytes = (text: string): Uint8Array => new TextEncoder().encode(text)

const number = fc.oneof(fc.double(), fc.double({ min: -300, max: 400 }), fc.integer({ min: -50, max: 120 }))
const written = fc
  .tuple(number, fc.constantFrom('', ' ', '°C', ' °F', 'K', ' degC', ' %', 'V', ' °', '\n', ',', '.', ' 20', ' c', 'E'))
  .map(([value, behind]) => `${value}${behind}`)
const value = fc.oneof(
  number,
  written,
  hostileText,
  fc.jsonValue({ maxDepth: 2 }),
  fc.constantFrom('open', 'OFF', true),
)

const moment = fc.integer({ min: now - 90 * 86_400_000, max: now + 3_600_000 })
const time = fc.oneof(
  moment,
  moment.map(at => at / 1000),
  moment.map(at => at * 1000),
  moment.map(at => at * 1e6),
  moment.map(String),
  moment.map(at => new Date(at).toISOString()),
  moment.map(at => `${new Date(at).toISOString().slice(0, 19)}${['', '+01', '-0530', ' Z', '+01:00'][at % 5]}`),
  fc.constantFrom('2024-13-45T06:29:50Z', '2024-02-30T06:00:00Z', '0000-00-00T00:00Z', 'yesterday', '', '24:00'),
  value,
)
const object = fc.oneof(
  fc.record({ value, time }),
  fc.record({ value, time }, { requiredKeys: [] }),
  fc.record({ a: fc.record({ b: fc.array(value, { maxLength: 3 }), t: time }) }),
  fc.jsonValue(),
)
const text = fc.oneof(
  object.map(found => JSON.stringify(found) ?? ''),
  written,
  hostileText,
  fc.constantFrom(
    '[',
    '{"value":',
    '[[[[[[[[',
    '{"value":20,"time":',
    `${'['.repeat(20_000)}`,
    '{"value":1}{"value":2}',
  ),
)
const payload = fc.oneof(
  { weight: 6, arbitrary: text.map(bytes) },
  { weight: 2, arbitrary: fc.uint8Array({ maxLength: 200 }) },
  // sound, and then a byte altered, or cut short
  {
    weight: 3,
    arbitrary: fc.tuple(text.map(bytes), fc.nat(400), fc.nat(255)).map(([sound, place, byte]) => {
      const altered = Uint8Array.from(sound)
      if (place < altered.length) altered[place] = byte
      return altered
    }),
  },
  { weight: 2, arbitrary: fc.tuple(text.map(bytes), fc.nat(60)).map(([sound, cut]) => sound.subarray(0, cut)) },
)

const known = fc.constantFrom(...sensors.map(({ topic }) => topic))
const topic = fc.oneof(
  { weight: 8, arbitrary: known },
  {
    weight: 1,
    arbitrary: fc.constantFrom('', '/', 'shop', 'shop/', 'shop/timed/', 'SHOP/timed', 'shop/timed\0', '$SYS/x'),
  },
  { weight: 1, arbitrary: fc.constantFrom(...hostileTexts) },
  { weight: 1, arbitrary: fc.string({ unit: 'binary', maxLength: 40 }) },
)

const anything: fc.Arbitrary<Message> = fc.record({ topic, payload, retained: fc.boolean(), waited: fc.boolean() })

const likelyTime = fc.oneof(
  moment,
  moment.map(String),
  moment.map(at => at / 1000),
  moment.map(at => new Date(at).toISOString()),
)

/** in the form that its topic expects, with a value that may be one */
const nearlySound: fc.Arbitrary<Message> = fc
  .record({ sensor: fc.constantFrom(...sensors), value: fc.oneof(number, written), time: fc.oneof(likelyTime, time) })
  .map(({ sensor: { topic: on, payload: form }, value: sent, time: at }) => {
    if (form.kind === 'number') return { topic: on, payload: bytes(String(sent)), retained: false, waited: false }
    const said = form.value === 'value' ? { value: sent, time: at } : { a: { b: [sent, 'x'], t: at } }
    return { topic: on, payload: bytes(JSON.stringify(said)), retained: false, waited: false }
  })

export const message: fc.Arbitrary<Message> = fc.oneof(
  { weight: 4, arbitrary: anything },
  { weight: 1, arbitrary: nearlySound },
)

/** where value and time stand in a message for a sensor, read plainly; undefined: it says nothing */
export const saidFor = (
  { payload: form }: Sensor,
  content: string,
  parsed: unknown,
): { value: unknown; time: unknown } => {
  if (form.kind === 'number') return { value: content, time: undefined }
  type Open = { [key: string]: unknown } | undefined
  const whole = parsed as Open
  const deep = whole?.a as Open
  const list = deep?.b
  return form.value === 'value'
    ? { value: whole?.value, time: whole?.time }
    : { value: Array.isArray(list) ? list[0] : (list as Open)?.['0'], time: deep?.t }
}
