import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { PayloadForm, Sensor, TopicMapping } from '../../../core/shop.js'
import { createDecoder, type Delivery, longestList } from '../../../server/ingest/decoder.js'
import { reasons } from '../../../server/ingest/reasons.js'
import { subscriptionsBehind, subscriptionsFor } from '../../../server/ingest/subscriptions.js'
import { covers, topicPattern } from '../../../server/ingest/topic-pattern.js'
import { createUnassigned, unassignedKept } from '../../../server/ingest/unassigned.js'
import { sensor, withoutTopic } from './sensors.js'

const now = Date.UTC(2024, 0, 15, 6, 30)
const fresh: Delivery = { retained: false, receivedAt: now }
const bytes = (value: unknown) => new TextEncoder().encode(typeof value === 'string' ? value : JSON.stringify(value))
const json = (form: Omit<PayloadForm & { kind: 'json' }, 'kind'>): PayloadForm => ({ kind: 'json', ...form })

const decoded = (sensors: readonly Sensor[], topic: string, message: unknown, topics: readonly TopicMapping[] = []) => {
  const { readings, refusals, unassigned = [] } = createDecoder(sensors, topics)(topic, bytes(message), fresh)
  return {
    readings: readings.map(r => [r.sensor, r.value, r.at - now]),
    refused: refusals.map(r => r.reason),
    unassigned: unassigned.map(u => [u.topic, u.name]),
  }
}

describe('a list of readings in one message', () => {
  const payload = json({ readings: 'data.list', name: 'id', value: 't', time: 'at' })
  const box = (id: string, nameOnBroker: string) => sensor(id, { topic: 'box', payload, nameOnBroker })

  it('gives each sensor its own, by the name the item has', () => {
    const list = [
      { id: 'TT-1', t: 20, at: now - 2000 },
      { id: 'TT-2', t: '21,5', at: now - 1000 },
      { id: 'TT-1', t: 20.5, at: now },
      { id: 'TT-9', t: 1, at: now },
      { id: 'TT-2', t: null, at: now },
      { t: 3, at: now },
    ]
    expect(decoded([box('a', 'TT-1'), box('b', 'TT-2')], 'box', { data: { list } })).toEqual({
      readings: [
        ['a', 20, -2000],
        ['b', 21.5, -1000],
        ['a', 20.5, 0],
      ],
      refused: [reasons.noValue, reasons.nameMissing],
      unassigned: [['box', 'TT-9']],
    })
  })

  it('without names is one sensor at several times', () => {
    const one = sensor('a', { topic: 'box', payload: json({ readings: '.', value: '0', time: '1' }) })
    const message = [
      [20, now / 1000 - 10],
      [21, now / 1000],
    ]
    expect(decoded([one], 'box', message).readings).toEqual([
      ['a', 20, -10_000],
      ['a', 21, 0],
    ])
  })

  it('that is none, or too long, is refused as a whole', () => {
    expect(decoded([box('a', 'x')], 'box', { data: { list: 5 } }).refused).toEqual([reasons.noList])
    const long = Array(longestList + 1).fill({})
    expect(decoded([box('a', 'x')], 'box', { data: { list: long } }).refused).toEqual([reasons.longList])
  })

  it.each([
    ['readings.0.t', 1],
    ['readings.last.t', 3],
    ['.', undefined],
    ['readings.3.t', undefined],
    ['readings.-1.t', undefined],
    ['readings.length', undefined],
    ['readings.01.t', undefined],
  ])('is reached into at %s', (value, found) => {
    const one = sensor('a', { topic: 'box', payload: json({ value }) })
    const { readings } = decoded([one], 'box', { readings: [{ t: 1 }, { t: 2 }, { t: 3 }] })
    expect(readings[0]?.[1]).toBe(found)
  })
})

describe('units and factors', () => {
  it('the unit may come in the message, and a whole number may count tenths', () => {
    const payload = json({ value: 't', unit: 'u' })
    const one = sensor('a', { topic: 'x', unit: 'K', scale: 0.1, payload })
    expect(decoded([one], 'x', { t: 215, u: 'Celsius' }).readings[0]?.[1]).toBeCloseTo(21.5, 9)
    expect(decoded([one], 'x', { t: 680, u: '°F' }).readings[0]?.[1]).toBeCloseTo(20, 9)
    expect(decoded([one], 'x', { t: 2931.5 }).readings[0]?.[1]).toBeCloseTo(20, 9)
    expect(decoded([one], 'x', { t: 215, u: 'bar' }).refused).toEqual([reasons.unknownUnit])
  })
})

describe('a time without a zone', () => {
  // Vienna is at +01:00 in winter; on 2023-10-29 its clocks showed 02:00 to 03:00 twice, on 2023-03-26 never (tz database)
  const one = sensor('a', { payload: json({ value: 't', time: 'at', timeZone: 'Europe/Vienna' }) })
  const read = (time: string) => createDecoder([one])('shop/a', bytes({ t: 20, at: time }), fresh)

  it('is taken in the zone the shop file gives', () => {
    expect(read('2024-01-15T07:29:50.250').readings[0]?.at).toBe(now - 9750)
    expect(read('2023-07-01 08:00').readings[0]?.at).toBe(Date.UTC(2023, 6, 1, 6))
    expect(read('2024-01-15T06:29:50Z').readings[0]?.at).toBe(now - 10_000)
  })

  it('is refused when the clocks show it twice or never', () => {
    for (const time of ['2023-10-29T02:30:00', '2023-03-26T02:30:00'])
      expect(read(time).refusals.map(r => r.reason)).toEqual([reasons.unclearTime])
  })
})

describe('topics with named parts', () => {
  const value = json({ value: 't' })
  const named = withoutTopic('mill-1-screw', { nameOnBroker: 'M1/screw' })
  const own = withoutTopic('hall')
  const topics: TopicMapping[] = [
    { pattern: 'plant/{line}/probe_{probe}', sensor: '{line}/{probe}', payload: value },
    { pattern: 'plant/{sensor}', sensor: '{sensor}', payload: { kind: 'number' } },
    { pattern: 'gateway/{box}', sensor: '{name}', payload: json({ value: 't', name: 'id' }) },
  ]

  it('find the sensor by its name on the broker, or its id', () => {
    expect(decoded([named, own], 'plant/M1/probe_screw', { t: 20 }, topics).readings).toEqual([['mill-1-screw', 20, 0]])
    expect(decoded([named, own], 'plant/hall', '21', topics).readings).toEqual([['hall', 21, 0]])
    expect(decoded([named, own], 'gateway/7', { id: 'hall', t: 22 }, topics).readings).toEqual([['hall', 22, 0]])
  })

  it('that name no sensor are unassigned, not refused', () => {
    expect(decoded([named], 'plant/M2/probe_screw', { t: 20 }, topics)).toEqual({
      readings: [],
      refused: [],
      unassigned: [['plant/M2/probe_screw', 'M2/screw']],
    })
  })

  it('that do not fit are unknown', () => {
    for (const topic of ['plant/M1/tube_screw', 'plant', 'plant/M1/probe_screw/x', 'plant/M1/probe_'])
      expect(decoded([named], topic, '20', topics).refused).toEqual([reasons.unknownTopic])
  })

  it('give way to a sensor that has the topic as its own', () => {
    const exact = sensor('exact', { topic: 'plant/hall', payload: { kind: 'number' } })
    expect(decoded([own, exact], 'plant/hall', '20', topics).readings).toEqual([['exact', 20, 0]])
  })

  // MQTT 5.0, 4.7.1: + stands for one whole level
  it('are subscribed with the wildcard, and none twice', () => {
    const sensors = [sensor('a', { topic: 'plant/a' }), sensor('b', { topic: 'other/b' }), named]
    const { filters, wants } = subscriptionsFor(sensors, topics)
    expect([...filters].sort()).toEqual(['gateway/+', 'other/b', 'plant/+', 'plant/+/+'])
    expect(wants('plant/x/y')).toBe(true)
    expect(wants('plant/x/y/z')).toBe(false)
    expect(subscriptionsBehind('a/b').sort()).toEqual(['+/+', '+/b', 'a/+', 'a/b'])
  })

  it('match what their filter brings, whatever stands at the parts (seeded)', () => {
    const level = fc.string({ unit: 'binary', minLength: 1 }).filter(text => !/[/+#\0]/.test(text))
    const { filter, match } = topicPattern('a.b/{x}/(c)*/pre-{y}')
    fc.assert(
      fc.property(level, level, (x, y) => {
        const topic = `a.b/${x}/(c)*/pre-${y}`
        expect(covers(filter, topic)).toBe(true)
        const parts = match(topic)
        // a line break does not end a level
        expect(parts).toEqual({ x, y })
        expect(match(topic.replace('a.b', 'axb'))).toBeUndefined()
      }),
      { numRuns: 500, seed: 4 },
    )
  })
})

it('unassigned topics are counted without bound and kept within one', () => {
  const keeper = createUnassigned()
  for (let index = 0; index < unassignedKept + 50; index += 1)
    keeper.found([{ topic: `t/${index}`, name: '', at: index, sample: 'x' }])
  keeper.found([{ topic: 't/3', name: '', at: 9999, sample: 'newest' }])
  const { topics, count, beyond } = keeper.read()
  expect(topics).toHaveLength(unassignedKept)
  expect(topics[0]).toEqual({ topic: 't/3', name: '', count: 2, at: 9999, sample: 'newest' })
  expect([count, beyond]).toEqual([unassignedKept + 51, 50])
})

it('whatever is published on mapped topics, nothing is thrown and no reading is false (seeded)', () => {
  const form = json({ readings: 'r', name: 'n', value: 'v', time: 't', unit: 'u', timeZone: 'Europe/Vienna' })
  const decode = createDecoder(
    [withoutTopic('a'), withoutTopic('b', { unit: 'state' }), sensor('c', { topic: 'box', payload: form, scale: 0.1 })],
    [
      { pattern: 'x/{sensor}', sensor: '{sensor}', payload: json({ value: 'v', time: 't' }) },
      { pattern: 'y/{z}', sensor: '{name}', payload: form },
    ],
  )
  const known = new Set<string>(Object.values(reasons))
  const value = fc.oneof(
    fc.double(),
    fc.jsonValue(),
    fc.constantFrom('21,5', '21.5 °C', '70 F', 'unavailable', 'open', now, now * 1e3, now * 1e6, '2024-01-15T07:00'),
  )
  const item = fc.record({ n: fc.constantFrom('a', 'b', 'c', 'd', '__proto__', 7, null), v: value, t: value, u: value })
  const payload = fc.oneof(item, fc.record({ r: fc.array(item) }), fc.record({ r: value }), fc.jsonValue())
  fc.assert(
    fc.property(fc.constantFrom('x/a', 'x/b', 'x/__proto__', 'y/1', 'box', 'z'), payload, (topic, message) => {
      const { readings, refusals, unassigned = [] } = decode(topic, bytes(message), fresh)
      for (const { at, value: read, sensor: id } of readings) {
        expect(Number.isSafeInteger(at) && at >= 0 && at <= now + 60_000).toBe(true)
        expect(id === 'b' ? read === 0 || read === 1 : read >= -273.16 && read <= 10_000).toBe(true)
      }
      for (const { reason, sample } of refusals) {
        expect(known.has(reason)).toBe(true)
        expect(sample.length).toBeLessThanOrEqual(200)
      }
      for (const { name, sample } of unassigned) expect(name.length + sample.length).toBeLessThanOrEqual(400)
    }),
    { numRuns: 5000, seed: 21 },
  )
})
