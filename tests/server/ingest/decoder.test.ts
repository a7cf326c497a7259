import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Sensor } from '../../../core/shop.js'
import { createDecoder, type Delivery, largestPayload } from '../../../server/ingest/decoder.js'
import { reasons } from '../../../server/ingest/reasons.js'
import { sensor } from './sensors.js'

const now = Date.UTC(2024, 0, 15, 6, 30)
const fresh: Delivery = { retained: false, receivedAt: now }
const bytes = (text: string) => new TextEncoder().encode(text)

const one = (different: Partial<Sensor>, payload: string, delivery: Delivery = fresh) => {
  const { readings, refusals } = createDecoder([sensor('a', different)])('shop/a', bytes(payload), delivery)
  expect(readings.length + refusals.length).toBe(1)
  return readings[0] ?? refusals[0]!.reason
}
const bare: Partial<Sensor> = { payload: { kind: 'number' } }

describe('values', () => {
  it.each<[Sensor['unit'], string, number]>([
    ['°C', '21.5', 21.5],
    ['°C', ' -3.25e1\n', -32.5],
    ['°C', '.5', 0.5],
    ['°C', '+7.', 7],
    ['°C', '21,5', 21.5],
    ['°C', '-0,25', -0.25],
    ['°C', '21.5 °C', 21.5],
    ['°C', '21,5°C', 21.5],
    ['°C', '70.7 F', 21.5],
    ['°C', '70.7 degF', 21.5],
    ['°F', '21.5 ℃', 21.5],
    ['°F', '294.65 K', 21.5],
    ['K', '21.5 Celsius', 21.5],
    ['°C', '2.15e1 deg C', 21.5],
    ['°F', '68', 20],
    ['K', '293.15', 20],
    ['K', '0', -273.15],
    ['°F', '-459.67', -273.15],
    ['state', 'open', 1],
    ['state', 'OFF', 0],
    ['state', ' closed ', 0],
    ['state', 'on', 1],
    ['state', 'True', 1],
    ['state', 'false', 0],
    ['state', '1', 1],
    ['state', '0', 0],
  ])('in %s, %j is %d', (unit, payload, value) => {
    const read = one({ ...bare, unit }, payload)
    expect(read).toMatchObject({ sensor: 'a', at: now, receivedAt: now })
    expect((read as { value: number }).value).toBeCloseTo(value, 9)
  })

  it.each<[Sensor['unit'], string, string]>([
    ['°C', '', reasons.noValue],
    ['°C', 'NaN', reasons.noValue],
    ['°C', 'unavailable', reasons.noValue],
    ['°C', ' Unknown ', reasons.noValue],
    ['°C', 'null', reasons.noValue],
    ['°C', '--', reasons.noValue],
    ['state', 'unavailable', reasons.noValue],
    ['°C', '1,234.5', reasons.notNumber],
    ['°C', '1,234,5', reasons.notNumber],
    ['°C', '°C', reasons.notNumber],
    ['°C', '21.5 21.6', reasons.notNumber],
    ['°C', '21.5 %', reasons.unknownUnit],
    ['°C', '21.5 mm', reasons.unknownUnit],
    ['°C', '1_000 °C', reasons.notNumber],
    ['°C', '-500 °F', reasons.impossible],
    ['°C', 'Infinity', reasons.notNumber],
    ['°C', '0x1F', reasons.notNumber],
    ['°C', '1_000', reasons.notNumber],
    ['°C', '{"value":21}', reasons.notNumber],
    ['°C', '1e999', reasons.notFinite],
    ['°C', '-273.2', reasons.impossible],
    ['K', '-1', reasons.impossible],
    ['°C', '1e300', reasons.impossible],
    ['state', 'ajar', reasons.notState],
    ['state', '2', reasons.notState],
    ['state', '', reasons.noValue],
    ['state', '1.0', reasons.notState],
  ])('in %s, %j is refused: %s', (unit, payload, reason) => {
    expect(one({ ...bare, unit }, payload)).toBe(reason)
  })
})

describe('JSON', () => {
  const time = '"time":"2024-01-15T06:29:50Z"'
  it.each([
    ['a number', `{"value":21.5,${time}}`],
    ['a number written as text', `{"value":"21.5",${time}}`],
    ['a byte order mark before it', `\uFEFF{"value":21.5,${time}}`],
  ])('holds %s', (_, payload) => {
    expect(one({}, payload)).toEqual({ sensor: 'a', at: now - 10_000, value: 21.5, receivedAt: now })
  })

  it('is followed along a dotted path, through lists too', () => {
    const payload = { kind: 'json', value: 'probes.1.t', time: 'at' } as const
    expect(one({ payload }, `{"probes":[{"t":1},{"t":2}],"at":${now}}`)).toMatchObject({ value: 2 })
  })

  it('holds a state as a word, a truth value or a number', () => {
    for (const value of ['"open"', 'true', '1'])
      expect(one({ unit: 'state' }, `{"value":${value},${time}}`)).toMatchObject({ value: 1 })
  })

  it.each([
    ['21.5', reasons.valueMissing],
    ['null', reasons.valueMissing],
    ['{"temperature":21.5}', reasons.valueMissing],
    ['{"value":21.5}', reasons.timeMissing],
    [`{"value":null,${time}}`, reasons.noValue],
    [`{"value":"unavailable",${time}}`, reasons.noValue],
    [`{"value":true,${time}}`, reasons.notNumber],
    [`{"value":[21.5],${time}}`, reasons.notNumber],
    [`{"value":1e999,${time}}`, reasons.notFinite],
    ['{"value":21.5', reasons.notJson],
    ['', reasons.notJson],
  ])('%s is refused: %s', (payload, reason) => {
    expect(one({}, payload)).toBe(reason)
  })

  it('nested without end is refused', () => {
    expect(one({}, '['.repeat(60_000))).toBe(reasons.notJson)
    expect(one({}, `${'['.repeat(30_000)}${']'.repeat(30_000)}`)).toBe(reasons.valueMissing)
  })

  it('what every object inherits is not a value', () => {
    for (const value of ['constructor', '__proto__', 'toString.length'])
      expect(one({ payload: { kind: 'json', value } }, '{"a":1}')).toBe(reasons.valueMissing)
  })

  it('of one message serves several sensors, and one that cannot be read does not harm the other', () => {
    const topic = 'shop/box'
    const decode = createDecoder([
      sensor('a', { topic, payload: { kind: 'json', value: 'a' } }),
      sensor('b', { topic, payload: { kind: 'json', value: 'b' }, unit: '°F' }),
      sensor('c', { topic, payload: { kind: 'json', value: 'c' } }),
    ])
    const { readings, refusals } = decode(topic, bytes('{"a":20,"b":212,"c":"broken"}'), fresh)
    expect(readings.map(r => [r.sensor, r.value])).toEqual([
      ['a', 20],
      ['b', 100],
    ])
    expect(refusals.map(r => r.reason)).toEqual([reasons.notNumber])
  })
})

describe('times', () => {
  const timed = (time: string) => one({}, `{"value":20,"time":${time}}`)
  const at = Date.UTC(2024, 0, 15, 6, 29, 50, 250)

  it.each([
    ['ms', `${at}`],
    ['ms as text', `"${at}"`],
    ['s', `${at / 1000}`],
    ['s as text', `"${at / 1000}"`],
    ['µs', `${at * 1e3}`],
    ['µs as text', `"${at * 1e3}"`],
    ['ns', `${at * 1e6}`],
    ['s with a decimal comma', `"${String(at / 1000).replace('.', ',')}"`],
    ['ISO in UTC', '"2024-01-15T06:29:50.250Z"'],
    ['ISO with a zone', '"2024-01-15T07:29:50.250+01:00"'],
    ['ISO with a short zone', '"2024-01-15 01:29:50,250-0500"'],
    ['ISO with hours only', '"2024-01-15T07:29:50.25+01"'],
  ])('in %s are read', (_, time) => {
    expect(timed(time)).toMatchObject({ at })
  })

  it.each([
    ['"2024-01-15T06:29:50"', reasons.noZone],
    ['"2024-01-15 06:29"', reasons.noZone],
    ['"2024-01-15"', reasons.badTime],
    ['"2024-13-45T06:29:50Z"', reasons.badTime],
    ['"yesterday"', reasons.badTime],
    ['null', reasons.badTime],
    ['{}', reasons.badTime],
    ['-1', reasons.badTime],
    ['1e40', reasons.badTime],
    ['"1969-12-31T23:59:59Z"', reasons.badTime],
  ])('like %s are refused: %s', (time, reason) => {
    expect(timed(time)).toBe(reason)
  })

  it('up to a minute ahead are taken, beyond that refused with how much', () => {
    expect(timed(`${now + 60_000}`)).toMatchObject({ at: now + 60_000 })
    const { refusals } = createDecoder([sensor('a')])('shop/a', bytes(`{"value":20,"time":${now + 3_600_000}}`), fresh)
    expect(refusals).toEqual([
      {
        at: now,
        topic: 'shop/a',
        reason: 'time in the future',
        sample: `{"value":20,"time":${now + 3_600_000}} (3600 s ahead of the service's clock)`,
      },
    ])
  })

  it('of long ago are taken, unless they are older than what is kept', () => {
    expect(timed('86400')).toMatchObject({ at: 86_400_000 })
    expect(one({}, '{"value":20,"time":86400}', { ...fresh, keptSince: 86_400_001 })).toBe(reasons.pruned)
  })
})

describe('a message the broker kept', () => {
  it('as retained is late if it has a time, and refused if it has none', () => {
    const delivery = { ...fresh, retained: true }
    const late = now - 7 * 86_400_000
    expect(one({}, `{"value":20,"time":${late}}`, delivery)).toMatchObject({ at: late, receivedAt: now })
    expect(one(bare, '20', delivery)).toBe('retained without a time')
    expect(one({ payload: { kind: 'json', value: 'value' } }, '{"value":20}', delivery)).toBe(reasons.retained)
  })

  it('while we were away is late if it has a time, and refused if it has none', () => {
    const delivery = { ...fresh, mayHaveWaited: () => true }
    expect(one({}, `{"value":20,"time":${now - 5000}}`, delivery)).toMatchObject({ at: now - 5000 })
    expect(one(bare, '20', delivery)).toBe(reasons.waited)
    expect(one(bare, '20', { ...fresh, mayHaveWaited: () => false })).toMatchObject({ at: now })
  })
})

describe('refusals', () => {
  const decode = createDecoder([sensor('a', bare)])

  it('of an unknown topic', () => {
    expect(decode('shop/b', bytes('20'), fresh)).toEqual({
      readings: [],
      refusals: [{ at: now, topic: 'shop/b', reason: 'unknown topic', sample: '20' }],
    })
  })

  it('of a payload over 64 KiB, with its size', () => {
    const { refusals } = decode('shop/a', new Uint8Array(largestPayload + 1).fill(0x31), fresh)
    expect(refusals[0]).toMatchObject({ reason: reasons.tooLarge })
    expect(refusals[0]!.sample).toMatch(/^1+ \(65537 bytes\)$/)
    expect(refusals[0]!.sample).toHaveLength(200)
  })

  it('hold a printable beginning of the payload', () => {
    const { refusals } = decode('shop/a', new Uint8Array([0x41, 0, 0x1b, 0xff, 0x0a, 0xc3, 0xa9]), fresh)
    expect(refusals[0]!.sample).toBe('A··\uFFFD·é')
  })
})

it('whatever is published, nothing is thrown, no reading is false and each refusal has a counted reason', () => {
  const decode = createDecoder([
    sensor('number', bare),
    sensor('json'),
    sensor('fahrenheit', { topic: 'shop/json', unit: '°F', payload: { kind: 'json', value: 'a.b.0' } }),
    sensor('state', { unit: 'state' }),
  ])
  const known = new Set<string>(Object.values(reasons))
  const topics = fc.oneof(fc.constantFrom('shop/number', 'shop/json', 'shop/state'), fc.string({ unit: 'binary' }))
  const value = fc.oneof(fc.double(), fc.jsonValue(), fc.constantFrom('open', '21.5', '1e308', now, String(now)))
  const payloads = fc.oneof(
    fc.uint8Array({ maxLength: 300 }),
    fc.string().map(bytes),
    fc.double().map(number => bytes(String(number))),
    fc.json().map(bytes),
    fc.record({ value, time: value, a: value }).map(object => bytes(JSON.stringify(object))),
    fc
      .tuple(fc.record({ value, time: value }), fc.nat(60))
      .map(([object, cut]) => bytes(JSON.stringify(object).slice(0, cut))),
  )
  fc.assert(
    fc.property(topics, payloads, fc.boolean(), fc.boolean(), (topic, payload, retained, waited) => {
      const delivery = { retained, receivedAt: now, mayHaveWaited: () => waited }
      const { readings, refusals } = decode(topic, payload, delivery)
      expect(readings.length + refusals.length).toBe(topic === 'shop/json' ? 2 : 1)
      for (const reading of readings) {
        expect(Number.isSafeInteger(reading.at) && reading.at >= 0 && reading.at <= now + 60_000).toBe(true)
        expect(reading.value >= -273.16 && reading.value <= 10_000).toBe(true)
        if (reading.sensor === 'state') expect([0, 1]).toContain(reading.value)
        if (reading.sensor === 'number') expect(retained || waited).toBe(false)
      }
      for (const refusal of refusals) {
        expect(known.has(refusal.reason)).toBe(true)
        expect(refusal.sample.length).toBeLessThanOrEqual(200)
        expect(refusal.topic.length).toBeLessThanOrEqual(200)
        expect(`${refusal.topic}${refusal.sample}`).not.toMatch(/\p{Cc}/u)
      }
    }),
    { numRuns: 20_000, seed: 20 },
  )
})
