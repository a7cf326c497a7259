import fc from 'fast-check'
import { fromEdgeNode } from './edge-node-messages.js'
import { hostileText, hostileTexts } from './hostile.js'
import { type Message, now, plain, radio, sensors } from './shop.js'

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

const ownTopics = sensors.flatMap(({ topic: own }) => (own === undefined ? [] : [own]))
const mappedTopics = [
  ...['TT 1', '__proto__', 'constructor', 'nobody', 'ö'].map(name => `plant/${name}/temperature`),
  ...['west', 'east', ''].flatMap(line => ['box_1', 'box_', 'box'].map(box => `gateway/${line}/${box}`)),
]
const known = fc.constantFrom(...ownTopics, ...mappedTopics)
const topic = fc.oneof(
  { weight: 8, arbitrary: known },
  {
    weight: 1,
    arbitrary: fc.constantFrom('', '/', 'shop', 'shop/', 'shop/timed/', 'SHOP/timed', 'shop/timed\0', '$SYS/x'),
  },
  { weight: 1, arbitrary: fc.constantFrom(...hostileTexts) },
  { weight: 1, arbitrary: fc.string({ unit: 'binary', maxLength: 40 }) },
)

/** any payload on any topic */
const anything: fc.Arbitrary<Message> = fc.record({ topic, payload, retained: fc.boolean(), waited: fc.boolean() })

const likelyTime = fc.oneof(
  moment,
  moment.map(String),
  moment.map(at => at / 1000),
  moment.map(at => new Date(at).toISOString()),
)

/** in the form that its topic expects, with a value that may be one */
const nearlySound: fc.Arbitrary<Message> = fc
  .record({
    sensor: fc.constantFrom(...plain),
    value: fc.oneof(
      { weight: 5, arbitrary: number },
      { weight: 5, arbitrary: written },
      { weight: 1, arbitrary: fc.constantFrom('Open', ' closed', 1, '0') },
    ),
    time: fc.oneof(likelyTime, time),
  })
  .map(({ sensor: { topic: on, payload: form }, value: sent, time: at }) => {
    if (form.kind === 'number') return { topic: on, payload: bytes(String(sent)), retained: false, waited: false }
    const said = form.value === 'value' ? { value: sent, time: at } : { a: { b: [sent, 'x'], t: at } }
    return { topic: on, payload: bytes(JSON.stringify(said)), retained: false, waited: false }
  })

const flags = { retained: fc.boolean(), waited: fc.boolean() }
const level = fc.oneof(fc.integer({ min: -120, max: 120 }), written, value)
const withBattery: fc.Arbitrary<Message> = fc
  .record({
    said: fc.record({ value, time: likelyTime, battery: level, rssi: level }, { requiredKeys: ['time'] }),
    ...flags,
  })
  .map(({ said, ...rest }) => ({ topic: radio.topic, payload: bytes(JSON.stringify(said)), ...rest }))

const name = fc.oneof(
  { weight: 6, arbitrary: fc.constantFrom('A 1', ' A 1 ', '7', 7, 'Ö', '__proto__', 'constructor', 'nobody') },
  { weight: 1, arbitrary: value },
)
const unit = fc.constantFrom('°F', ' K ', 'degC', 'bar', null, 7)
const likely = fc.oneof({ weight: 3, arbitrary: number }, { weight: 1, arbitrary: value })
const item = fc.record(
  {
    id: name,
    v: likely,
    t: fc.oneof(
      likelyTime,
      likelyTime,
      likely.map(each => [each]),
    ),
    at: fc.oneof(likelyTime, likelyTime, time),
    u: unit,
  },
  { requiredKeys: ['id', 'v', 't'] },
)
const inGateway = fc.record(
  { id: name, t: fc.tuple(likely), at: fc.oneof(likelyTime, time), u: unit },
  { requiredKeys: ['id', 't', 'at'] },
)
const listOf = (items: fc.Arbitrary<unknown>): fc.Arbitrary<unknown> =>
  fc.oneof(
    { weight: 2000, arbitrary: fc.array(fc.oneof({ weight: 6, arbitrary: items }, value), { maxLength: 5 }) },
    { weight: 200, arbitrary: value },
    // more than one message may hold
    { weight: 1, arbitrary: fc.constantFrom(Array(1000).fill(null), Array(1001).fill({ id: '7', v: 20 })) },
  )
/** lists of readings, on topics of their own and on mapped ones */
const lists: fc.Arbitrary<Message> = fc
  .oneof(
    fc.record({ topic: fc.constant('list/whole'), said: listOf(item) }),
    fc.record({ topic: fc.constant('list/named'), said: listOf(item).map(list => ({ data: { list } })) }),
    fc.record({
      topic: fc.constantFrom('gateway/west/box_1', 'gateway/west/box_', 'gateway/east/box_2'),
      said: listOf(inGateway).map(data => ({ data })),
    }),
  )
  .chain(({ topic: on, said }) =>
    fc.record({ topic: fc.constant(on), payload: fc.constant(bytes(JSON.stringify(said))), ...flags }),
  )

/** bare numbers whose sensor a part of the topic names */
const named: fc.Arbitrary<Message> = fc.record({
  topic: fc.oneof(
    fc.constantFrom(...mappedTopics),
    hostileText.map(part => `plant/${part}/temperature`),
  ),
  payload: fc.oneof(number.map(String), written).map(bytes),
  ...flags,
})

export const message: fc.Arbitrary<Message> = fc.oneof(
  { weight: 10, arbitrary: anything },
  { weight: 3, arbitrary: nearlySound },
  { weight: 1, arbitrary: withBattery },
  { weight: 2, arbitrary: lists },
  { weight: 1, arbitrary: named },
  { weight: 3, arbitrary: fromEdgeNode },
)
