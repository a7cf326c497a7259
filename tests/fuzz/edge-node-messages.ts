import fc from 'fast-check'
import type { UMetric } from 'sparkplug-payload/lib/sparkplugbpayload.js'
import { payload, withoutDatatypes } from '../server/ingest/sparkplug.js'
import { type Message, now } from './shop.js'

/** values that the library can write as that datatype, the possible temperatures often */
const within = (min: number, max: number) =>
  fc.oneof(fc.integer({ min, max }), fc.integer({ min: Math.max(min, -40), max: Math.min(max, 90) }))
const double = fc.oneof(fc.double(), fc.double({ min: -40, max: 90, noNaN: true }))
const values: Record<string, fc.Arbitrary<number | boolean | string | null>> = {
  Int8: within(-128, 127),
  Int16: within(-32_768, 32_767),
  Int32: within(-2_147_483_648, 2_147_483_647),
  Int64: within(Number.MIN_SAFE_INTEGER, Number.MAX_SAFE_INTEGER),
  UInt8: within(0, 255),
  UInt16: within(0, 65_535),
  UInt32: within(0, 4_294_967_295),
  UInt64: within(0, Number.MAX_SAFE_INTEGER),
  Float: double,
  Double: double,
  Boolean: fc.boolean(),
  String: fc.constantFrom('21.5', '70 °F', 'open', '', 'NaN', '9'.repeat(400)),
}

const optional = <T>(of: fc.Arbitrary<T>, weight = 1): fc.Arbitrary<T | undefined> =>
  fc.oneof({ weight: 3, arbitrary: of }, { weight, arbitrary: fc.constant(undefined) })
const moment = fc.oneof(
  fc.integer({ min: now - 60_000, max: now }),
  fc.constantFrom(0, now + 60_001, Number.MAX_SAFE_INTEGER),
)

const metricNamed = (names: fc.Arbitrary<string | undefined>): fc.Arbitrary<UMetric> =>
  fc
    .tuple(names, optional(fc.nat(6)), fc.constantFrom(...Object.keys(values)), optional(moment), fc.nat(30))
    .chain(([name, alias, type, timestamp, odd]) =>
      (values[type] ?? fc.constant(null)).map(
        value =>
          ({
            ...(name !== undefined && { name }),
            ...(alias !== undefined && { alias }),
            type,
            value: odd === 0 ? null : value,
            ...(timestamp !== undefined && { timestamp }),
            ...(odd === 1 && { properties: { Quality: { type: 'Int32', value: 0 } } }),
          }) as UMetric,
      ),
    )

const names = fc.constantFrom('Air', 'Screw', 'Bed', 'Gate', 'Pressure', '', '__proto__', 'd/Screw', 'x'.repeat(300))
const session = fc.nat(1).map((value): UMetric => ({ name: 'bdSeq', type: 'Int64', value }))
const seq = optional(fc.nat(255), 1)

const births = fc
  .tuple(optional(session), fc.array(metricNamed(names), { minLength: 1, maxLength: 6 }), seq, optional(moment))
  .map(([bdSeq, metrics, at, timestamp]) => payload([...(bdSeq ? [bdSeq] : []), ...metrics], at, timestamp))
const data = fc
  .tuple(
    fc.array(metricNamed(fc.oneof({ weight: 4, arbitrary: fc.constant(undefined) }, names)), {
      minLength: 1,
      maxLength: 4,
    }),
    seq,
    optional(moment),
    fc.nat(3),
  )
  .map(([metrics, at, timestamp, odd]) => {
    const encoded = payload(metrics, at, timestamp)
    return odd === 0 ? encoded : withoutDatatypes(encoded)
  })
const deaths = session.map(bdSeq => payload([bdSeq]))

const spoilt = (sound: fc.Arbitrary<Uint8Array>): fc.Arbitrary<Uint8Array> =>
  fc.tuple(sound, fc.nat(200), fc.nat(255), fc.nat(9)).map(([bytes, place, byte, how]) => {
    if (how > 2) return bytes
    if (how === 2) return bytes.subarray(0, place)
    const altered = Uint8Array.from(bytes)
    if (place < altered.length) altered[place] = byte
    return altered
  })

const topicOf = (kind: string, device?: string) => `spBv1.0/g/${kind}/n${device === undefined ? '' : `/${device}`}`
const device = fc.oneof({ weight: 8, arbitrary: fc.constantFrom('d', 'e') }, fc.constantFrom('other', '', '__proto__'))

const on = (kind: string, payloads: fc.Arbitrary<Uint8Array>, weight: number, devices?: fc.Arbitrary<string>) => ({
  weight,
  arbitrary: fc.record({
    topic: devices ? devices.map(each => topicOf(kind, each)) : fc.constant(topicOf(kind)),
    payload: fc.oneof(
      { weight: 20, arbitrary: spoilt(payloads) },
      { weight: 1, arbitrary: fc.uint8Array({ maxLength: 60 }) },
    ),
    retained: fc.boolean(),
    waited: fc.boolean(),
  }),
})

/** births, data and deaths of one edge node and its devices, in no order, some of them spoilt on the way */
export const fromEdgeNode: fc.Arbitrary<Message> = fc.oneof(
  on('NBIRTH', births, 15),
  on('DBIRTH', births, 30, device),
  on('NDATA', data, 20),
  on('DDATA', data, 40, device),
  on('NDEATH', deaths, 5),
  on('DDEATH', deaths, 5, device),
  on('STATE', data, 1),
)
