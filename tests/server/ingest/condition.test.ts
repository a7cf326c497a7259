import { describe, expect, it, onTestFinished } from 'vitest'
import type { BatteryForm, PayloadForm, Sensor, SignalForm } from '../../../core/shop.js'
import type { Condition } from '../../../server/ingest/condition.js'
import { createDecoder, type Delivery } from '../../../server/ingest/decoder.js'
import { reasons } from '../../../server/ingest/reasons.js'
import { eventually } from '../../eventually.js'
import { startMosquitto } from '../../mosquitto.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { sensor, withoutTopic } from './sensors.js'
import { publisher, startService } from './service.js'
import { bdSeq, data, payload } from './sparkplug.js'

const now = Date.UTC(2024, 0, 15, 6, 30)
const fresh: Delivery = { retained: false, receivedAt: now }
const bytes = (value: unknown) => new TextEncoder().encode(JSON.stringify(value))
const form = (battery: Omit<BatteryForm, 'at'>, signal: SignalForm['unit'] = 'dBm'): PayloadForm => ({
  kind: 'json',
  value: 'value',
  time: 'time',
  battery: { at: 'own.battery', ...battery },
  signal: { at: 'own.rssi', unit: signal },
})

const decoded = (message: unknown, payload: PayloadForm = form({ unit: '%' }), lowBattery?: number) => {
  const decode = createDecoder([sensor('a', { payload })], [], lowBattery)
  const { readings, refusals, conditions = [] } = decode('shop/a', bytes(message), fresh)
  return { values: readings.map(r => r.value), refused: refusals.map(r => r.reason), conditions }
}
const told = (battery: unknown, rssi: unknown, more: object = {}) => ({
  value: 20,
  time: now - 1000,
  own: { battery, rssi },
  ...more,
})

describe('battery and signal in a JSON message', () => {
  it('come with the time of its reading', () => {
    expect(decoded(told(87, -71))).toEqual({
      values: [20],
      refused: [],
      conditions: [
        {
          sensor: 'a',
          battery: { value: 87, unit: '%', low: false, at: now - 1000 },
          signal: { value: -71, unit: 'dBm', at: now - 1000 },
        },
      ],
    })
  })

  it.each<[unknown, Omit<BatteryForm, 'at'>, number]>([
    ['87', { unit: '%' }, 87],
    ['87 %', { unit: '%' }, 87],
    ['87%', { unit: '%' }, 87],
    ['3,05', { unit: 'V' }, 3.05],
    ['3.05 V', { unit: 'V' }, 3.05],
    [0, { unit: '%' }, 0],
    [100, { unit: '%' }, 100],
  ])('%j in %j is read', (raw, unit, value) => {
    expect(decoded(told(raw, -71), form(unit)).conditions[0]?.battery?.value).toBe(value)
  })

  it.each<[unknown, Omit<BatteryForm, 'at'>]>([
    [101, { unit: '%' }],
    [255, { unit: '%' }],
    [-1, { unit: '%' }],
    ['3.05 V', { unit: '%' }],
    [3050, { unit: 'V' }],
    ['good', { unit: '%' }],
    [true, { unit: '%' }],
    [[87], { unit: '%' }],
    ['', { unit: '%' }],
  ])('%j in %j is refused and counted; the reading and the signal are not lost by it', (raw, unit) => {
    const { values, refused, conditions } = decoded(told(raw, -71), form(unit))
    expect({ values, refused }).toEqual({ values: [20], refused: [reasons.badBattery] })
    expect(conditions).toEqual([{ sensor: 'a', signal: { value: -71, unit: 'dBm', at: now - 1000 } }])
  })

  it.each<[unknown, SignalForm['unit']]>([
    [31, 'dBm'],
    [-201, 'dBm'],
    ['-71 dB', 'dBm'],
    [101, '%'],
    [{}, '%'],
  ])('a signal of %j in %s is refused and counted; the rest is taken', (raw, unit) => {
    const { values, refused, conditions } = decoded(told(50, raw), form({ unit: '%' }, unit))
    expect({ values, refused }).toEqual({ values: [20], refused: [reasons.badSignal] })
    expect(conditions).toMatchObject([{ battery: { value: 50 } }])
  })

  it('need not be in every message', () => {
    for (const message of [{ value: 20, time: now }, told(null, null), told(undefined, undefined)])
      expect(decoded(message)).toEqual({ values: [20], refused: [], conditions: [] })
  })

  it('are taken where the temperature is not, but not with a time that is wrong', () => {
    const bad = decoded(told(87, -71, { value: 'open' }))
    expect(bad).toMatchObject({ values: [], refused: [reasons.notNumber], conditions: [{ battery: { value: 87 } }] })
    const late = decoded(told(87, -71, { time: now + 3_600_000 }))
    expect(late).toEqual({ values: [], refused: [reasons.future], conditions: [] })
  })

  it('stand beside each reading of a list', () => {
    const topics = [
      {
        pattern: 'gateway/{line}',
        sensor: '{name}',
        payload: {
          kind: 'json' as const,
          readings: 'data',
          name: 'id',
          value: 't',
          battery: { at: 'b', unit: '%' as const },
        },
      },
    ]
    const decode = createDecoder([withoutTopic('a'), withoutTopic('b')], topics)
    const message = {
      data: [
        { id: 'a', t: 20, b: 90 },
        { id: 'b', t: 21, b: 300 },
      ],
    }
    const { readings, refusals, conditions } = decode('gateway/west', bytes(message), fresh)
    expect(readings.map(r => r.value)).toEqual([20, 21])
    expect(refusals.map(r => r.reason)).toEqual([reasons.badBattery])
    expect(conditions).toMatchObject([{ sensor: 'a', battery: { value: 90, at: now } }])
  })
})

describe('a battery is low', () => {
  const low = (left: number, unit: Omit<BatteryForm, 'at'>, ofShop?: number) =>
    decoded(told(left, null), form(unit), ofShop).conditions[0]?.battery?.low
  it('with 20 % or less, where the shop file says nothing', () => {
    expect([20, 20.1].map(left => low(left, { unit: '%' }))).toEqual([true, false])
  })
  it('by the threshold of the shop, and before it that of its mapping', () => {
    expect([35, 35.1].map(left => low(left, { unit: '%' }, 35))).toEqual([true, false])
    expect([10, 10.1].map(left => low(left, { unit: '%', low: 10 }, 35))).toEqual([true, false])
  })
  it('in V only by a threshold of its mapping', () => {
    expect(low(1, { unit: 'V' })).toBe(false)
    expect([2.6, 2.61].map(left => low(left, { unit: 'V', low: 2.6 }))).toEqual([true, false])
  })
})

describe('in Sparkplug', () => {
  const screw = (different: Partial<Sensor> = {}) =>
    withoutTopic('screw', {
      sparkplug: {
        group: 'hall',
        node: 'edge',
        device: 'mill',
        metric: 'Screw',
        battery: { at: 'Battery', unit: '%' },
        signal: { at: 'Radio', unit: 'dBm' },
      },
      ...different,
    })
  const birth = payload(
    [
      { name: 'Screw', alias: 1, type: 'Float', value: 21.5, timestamp: now - 10 },
      { name: 'Battery', alias: 2, type: 'UInt8', value: 15, timestamp: now - 20 },
      { name: 'Radio', alias: 3, type: 'Int16', value: -88, timestamp: now - 30 },
      { name: 'Humidity', alias: 4, type: 'Float', value: 45, timestamp: now - 30 },
    ],
    1,
    now,
  )
  const born = () => {
    const decode = createDecoder([screw()])
    decode('spBv1.0/hall/NBIRTH/edge', payload([bdSeq(0)], 0, now), fresh)
    return decode
  }

  it('they are metrics of the same device, with times of their own, and no metric without a sensor', () => {
    const { readings, refusals, conditions, unassigned } = born()('spBv1.0/hall/DBIRTH/edge/mill', birth, fresh)
    expect(readings).toMatchObject([{ sensor: 'screw', value: 21.5 }])
    expect(refusals).toEqual([])
    expect(conditions).toEqual([
      { sensor: 'screw', battery: { value: 15, unit: '%', low: true, at: now - 20 } },
      { sensor: 'screw', signal: { value: -88, unit: 'dBm', at: now - 30 } },
    ])
    expect(unassigned?.map(({ name }) => name)).toEqual(['Humidity'])
  })

  it('data brings them by alias, and a bad one is refused alone', () => {
    const decode = born()
    decode('spBv1.0/hall/DBIRTH/edge/mill', birth, fresh)
    const sent = data(
      [
        { alias: 2, type: 'UInt8', value: 200, timestamp: now },
        { alias: 3, type: 'Int16', value: -90, timestamp: now },
        { alias: 1, type: 'Float', value: 22, timestamp: now },
      ],
      2,
    )
    const { readings, refusals, conditions } = decode('spBv1.0/hall/DDATA/edge/mill', sent, fresh)
    expect(readings).toMatchObject([{ value: 22 }])
    expect(refusals.map(r => r.reason)).toEqual([reasons.badBattery])
    expect(conditions).toMatchObject([{ signal: { value: -90 } }])
  })
})

it('through a broker they are passed on, and a bad one is counted', async () => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  const found: Condition[] = []
  const service = startService(
    temporaryFolder(),
    mosquitto.url,
    [sensor('a', { payload: form({ unit: '%' }) })],
    () => ({
      clock: () => now,
      lowBattery: 90,
      onConditions: conditions => found.push(...conditions),
    }),
  )
  await eventually(() => expect(service.states.at(-1)).toBe('connected'))
  const client = await publisher(mosquitto.url)
  await client.publishAsync('shop/a', JSON.stringify(told(87, 'loud')), { qos: 1 })
  await eventually(() => expect(service.ingest.stats()).toMatchObject({ stored: 1, waiting: 0 }))
  expect(found).toEqual([{ sensor: 'a', battery: { value: 87, unit: '%', low: true, at: now - 1000 } }])
  expect(service.ingest.stats().refused).toEqual({ [reasons.badSignal]: 1 })
})
