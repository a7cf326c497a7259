import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Sensor } from '../../../core/shop.js'
import { createDecoder, type Delivery } from '../../../server/ingest/decoder.js'
import { reasons } from '../../../server/ingest/reasons.js'
import { rebirthRequest } from '../../../server/ingest/sparkplug/payload.js'
import { commandTopic, sparkplugFilters, sparkplugTopic } from '../../../server/ingest/sparkplug/topic.js'
import { heapInUse } from '../../heap.js'
import { withoutTopic } from './sensors.js'
import { bdSeq, data, payload } from './sparkplug.js'

const now = Date.UTC(2024, 0, 15, 6, 30)
const fresh: Delivery = { retained: false, receivedAt: now }
const at = (id: string, metric: string, device?: string, different: Partial<Sensor> = {}) =>
  withoutTopic(id, { sparkplug: { group: 'hall', node: 'edge-1', metric, ...(device && { device }) }, ...different })

const air = at('air', 'Air/Temperature')
const screw = at('screw', 'Screw', 'mill-1')
const bed = at('bed', 'Bed', 'mill-1', { scale: 0.1 })
const sensors = [air, screw, bed]

const topic = (kind: string, device?: string) => `spBv1.0/hall/${kind}/edge-1${device ? `/${device}` : ''}`
const nodeBirth = (session = 0) =>
  payload(
    [
      bdSeq(session),
      { name: 'Node Control/Rebirth', type: 'Boolean', value: false },
      { name: 'Air/Temperature', alias: 1, type: 'Double', value: 20, timestamp: now - 5000 },
      { name: 'Humidity', alias: 2, type: 'Float', value: 45, timestamp: now - 5000 },
    ],
    0,
    now - 5000,
  )
const deviceBirth = (seq = 1) =>
  payload(
    [
      { name: 'Screw', alias: 10, type: 'Float', value: 21.5, timestamp: now - 4000 },
      { name: 'Bed', alias: 11, type: 'Int16', value: -215, timestamp: now - 4000 },
    ],
    seq,
    now - 4000,
  )

const follow = (decode = createDecoder(sensors)) => ({
  decode,
  take: (kind: string, bytes: Uint8Array, device?: string) => {
    const { readings, refusals, lost = [], unassigned = [], rebirth } = decode(topic(kind, device), bytes, fresh)
    return {
      readings: readings.map(r => [r.sensor, r.value, r.at - now]),
      refused: refusals.map(r => r.reason),
      lost,
      unassigned: unassigned.map(u => u.name),
      rebirth,
    }
  },
})
const born = () => {
  const node = follow()
  node.take('NBIRTH', nodeBirth())
  node.take('DBIRTH', deviceBirth(), 'mill-1')
  return node
}

describe('topics', () => {
  // Eclipse Sparkplug Specification 3.0.0, 4.1: namespace/group_id/message_type/edge_node_id/[device_id]
  it('are those of the specification', () => {
    expect(sparkplugTopic('spBv1.0/Sparkplug B Devices/NBIRTH/Raspberry Pi')).toEqual({
      group: 'Sparkplug B Devices',
      node: 'Raspberry Pi',
      kind: 'NBIRTH',
    })
    expect(sparkplugTopic('spBv1.0/g/DDATA/n/d')).toEqual({ group: 'g', node: 'n', kind: 'DDATA', device: 'd' })
    for (const none of [
      'spBv1.0/g/NDATA/n/d',
      'spBv1.0/g/DDATA/n',
      'spBv1.0/g/DDATA/n/',
      'spBv1.0/STATE/host',
      'spBv1.0/g/NCMD/n',
      'x/g/NDATA/n',
    ])
      expect(sparkplugTopic(none)).toBeUndefined()
    expect(commandTopic({ group: 'g', node: 'n' })).toBe('spBv1.0/g/NCMD/n')
  })

  it('are subscribed for each node once, commands are not', () => {
    expect(sparkplugFilters(sensors)).toEqual([
      'spBv1.0/hall/NBIRTH/edge-1',
      'spBv1.0/hall/NDATA/edge-1',
      'spBv1.0/hall/NDEATH/edge-1',
      'spBv1.0/hall/DBIRTH/edge-1/+',
      'spBv1.0/hall/DDATA/edge-1/+',
      'spBv1.0/hall/DDEATH/edge-1/+',
    ])
  })
})

it('births carry readings, bring their sensors back and show what no sensor is', () => {
  const node = follow()
  expect(node.take('NBIRTH', nodeBirth())).toEqual({
    readings: [['air', 20, -5000]],
    refused: [],
    lost: [{ sensors: ['air'], reason: null }],
    unassigned: ['Humidity'],
    rebirth: undefined,
  })
  const { readings, lost } = node.take('DBIRTH', deviceBirth(), 'mill-1')
  expect(readings).toEqual([
    ['screw', 21.5, -4000],
    ['bed', -21.5, -4000],
  ])
  expect(lost).toEqual([{ sensors: ['screw', 'bed'], reason: null }])
})

it('data is read by alias, with the datatype of the birth', () => {
  const node = born()
  const sent = data(
    [
      { alias: 10, type: 'Float', value: 22.5, timestamp: now - 3000 },
      // Int16 in the 32-bit field; the same number as unsigned would be 65,336
      { alias: 11, type: 'Int16', value: -200, timestamp: now - 3000, isHistorical: true },
    ],
    2,
  )
  expect(node.take('DDATA', sent, 'mill-1')).toMatchObject({
    readings: [
      ['screw', 22.5, -3000],
      ['bed', -20, -3000],
    ],
    refused: [],
  })
})

describe('every datatype a value can have', () => {
  it.each<[string, 'Int8' | 'Int32' | 'Int64' | 'UInt8' | 'UInt32' | 'UInt64' | 'Double' | 'String', number | string]>([
    ['−5', 'Int8', -5],
    ['−5', 'Int32', -5],
    ['−5', 'Int64', -5],
    ['200', 'UInt8', 200],
    ['200', 'UInt32', 200],
    ['200', 'UInt64', 200],
    ['21.25', 'Double', 21.25],
    ['21.25', 'String', '21,25 °C'],
  ])('%s as %s', (_, type, value) => {
    const metric = { name: 'Air/Temperature', alias: 1, type, value, timestamp: now }
    const node = follow()
    const expected = type === 'String' ? 21.25 : value
    expect(node.take('NBIRTH', payload([metric], 0)).readings).toEqual([['air', expected, 0]])
    expect(node.take('NDATA', data([{ alias: 1, type, value, timestamp: now }], 1)).readings).toEqual([
      ['air', expected, 0],
    ])
  })

  it('null and bad quality are refused, and a Boolean is a state', () => {
    const node = follow(createDecoder([air, at('door', 'Door', undefined, { unit: 'state' })]))
    const metrics = [
      { name: 'Air/Temperature', alias: 1, type: 'Double' as const, value: null },
      { name: 'Door', alias: 2, type: 'Boolean' as const, value: true, timestamp: now },
    ]
    expect(node.take('NBIRTH', payload(metrics, 0, now))).toMatchObject({
      readings: [['door', 1, 0]],
      refused: [reasons.noValue],
    })
    // quality codes 0 bad, 192 good, 500 stale: specification 3.0.0, 6.4.11 (PropertySet, Quality)
    const properties = { Quality: { type: 'Int32' as const, value: 500 } }
    const stale = [{ alias: 1, name: 'Air/Temperature', type: 'Double' as const, value: 20, properties }]
    expect(node.take('NDATA', payload(stale, 1)).refused).toEqual([reasons.badQuality])
  })
})

describe('data that cannot be trusted to mean what it seems', () => {
  it('before the birth is refused, and the birth wanted', () => {
    const node = follow()
    const sent = data([{ alias: 1, type: 'Double', value: 20, timestamp: now }], 5)
    const wanted = { readings: [], refused: [reasons.beforeBirth], rebirth: { group: 'hall', node: 'edge-1' } }
    expect(node.take('NDATA', sent)).toMatchObject(wanted)
    node.take('NBIRTH', nodeBirth())
    expect(node.take('DDATA', data([], 1), 'mill-1')).toMatchObject(wanted)
    const after = born()
    after.decode.forgetBirths()
    expect(after.take('NDATA', sent)).toMatchObject(wanted)
  })

  it('with an alias of no birth is refused', () => {
    const sent = data([{ alias: 99, type: 'Double', value: 20, timestamp: now }], 2)
    expect(born().take('NDATA', sent)).toMatchObject({ readings: [], refused: [reasons.unknownAlias] })
  })

  // specification 3.0.0, 6.4.5: the sequence goes up by one to 255, then 0
  it('after a gap in the sequence is taken, and the gap counted', () => {
    const node = born()
    const sent = (seq: number) =>
      node.take('NDATA', data([{ alias: 1, type: 'Double', value: 20, timestamp: now }], seq)).refused
    expect([sent(2), sent(2), sent(4), sent(255), sent(0), sent(1)]).toEqual([
      [],
      [],
      [reasons.gap],
      [reasons.gap],
      [],
      [],
    ])
  })
})

describe('deaths', () => {
  it('of a node take all its sensors and its births with them', () => {
    const node = born()
    const { lost } = node.take('NDEATH', payload([bdSeq(0)]))
    expect(lost).toEqual([{ sensors: ['air', 'screw', 'bed'], reason: 'its edge node edge-1 has lost the broker' }])
    expect(node.decode.unborn()).toEqual([{ group: 'hall', node: 'edge-1' }])
  })

  // the will of the session before arrives late: specification 3.0.0, bdSeq of NBIRTH and NDEATH must be the same
  it('of an earlier session are not believed', () => {
    const node = follow()
    node.take('NBIRTH', nodeBirth(7))
    expect(node.take('NDEATH', payload([bdSeq(6)]))).toMatchObject({ lost: [], refused: [reasons.oldDeath] })
    expect(node.take('NDEATH', payload([bdSeq(7)])).lost).toHaveLength(1)
  })

  it('of a device take its own sensors', () => {
    expect(born().take('DDEATH', payload([], 2), 'mill-1').lost).toEqual([
      { sensors: ['screw', 'bed'], reason: 'its device mill-1 has left the edge node edge-1' },
    ])
  })
})

describe('births without end', () => {
  it('of devices, names and aliases that are always new are not kept', () => {
    const { decode, take } = born()
    const births = (from: number, to: number) => {
      for (let birth = from; birth < to; birth += 1)
        for (const device of ['mill-1', `other-${birth}`]) {
          const metrics = Array.from({ length: 50 }, (_, index) => ({
            name: `metric-${birth}-${index}`,
            alias: birth * 100 + index,
            type: 'Double' as const,
            value: 20,
          }))
          decode(topic('DBIRTH', device), payload(metrics, birth % 256, now), fresh)
        }
    }
    births(0, 100)
    const before = heapInUse()
    births(100, 2100)
    // bytes; kept, the names and aliases of these 200,000 metrics take more than 20 MB
    expect(heapInUse() - before).toBeLessThan(5e6)
    // still in use here, so it has not been collected before
    take('DBIRTH', deviceBirth(), 'mill-1')
    expect(take('DDATA', data([{ alias: 10, type: 'Float', value: 22 }], 2), 'mill-1').readings).toHaveLength(1)
  })

  it('what an earlier birth of a device said does not outlive the next', () => {
    const { take } = born()
    const other = payload([{ name: 'Bed', alias: 12, type: 'Int16', value: -215, timestamp: now }], 2, now)
    take('DBIRTH', other, 'mill-1')
    expect(take('DDATA', data([{ alias: 10, type: 'Float', value: 22 }], 3), 'mill-1').refused).toEqual([
      reasons.unknownAlias,
    ])
    // the node's own alias is none of the device's
    expect(take('NDATA', data([{ alias: 1, type: 'Double', value: 21, timestamp: now }], 4)).readings).toEqual([
      ['air', 21, 0],
    ])
  })

  it('a device of no sensor is let pass, data and all, and its node is not asked for births', () => {
    const { take } = born()
    take('DBIRTH', payload([{ name: 'Pressure', alias: 30, type: 'Float', value: 6 }], 2, now), 'press')
    const sent = take('DDATA', data([{ alias: 30, type: 'Float', value: 7 }], 3), 'press')
    expect(sent).toEqual({ readings: [], refused: [], lost: [], unassigned: [], rebirth: undefined })
    // its messages count in the node's sequence all the same
    expect(take('DDATA', data([{ alias: 30, type: 'Float', value: 7 }], 6), 'press').refused).toEqual([reasons.gap])
  })
})

it('a request for births is the command of the specification', () => {
  // read back by the decoder of births, which it is in all but its topic
  const node = follow(createDecoder([at('rebirth', 'Node Control/Rebirth', undefined, { unit: 'state' })]))
  expect(node.take('NBIRTH', rebirthRequest(now)).readings).toEqual([['rebirth', 1, 0]])
})

it('whatever is published there, nothing is thrown and no reading is false (seeded)', () => {
  const { decode } = born()
  const known = new Set<string>(Object.values(reasons))
  const sound = [nodeBirth(), deviceBirth(), data([{ alias: 10, type: 'Float', value: 22, timestamp: now }], 2)]
  const broken = fc
    .tuple(fc.constantFrom(...sound), fc.nat(200), fc.nat(255), fc.nat(200))
    .map(([bytes, place, byte, length]) => {
      const copy = new Uint8Array(bytes.subarray(0, Math.max(1, length)))
      copy[place % copy.length] = byte
      return copy
    })
  const kinds = fc.constantFrom('NBIRTH', 'NDATA', 'NDEATH', 'DBIRTH', 'DDATA', 'DDEATH', 'NCMD')
  fc.assert(
    fc.property(kinds, fc.oneof(fc.uint8Array({ maxLength: 200 }), broken), (kind, bytes) => {
      const { readings, refusals } = decode(topic(kind, kind.startsWith('D') ? 'mill-1' : undefined), bytes, fresh)
      for (const { at: time, value } of readings) {
        expect(Number.isSafeInteger(time) && time >= 0 && time <= now + 60_000).toBe(true)
        expect(value >= -273.16 && value <= 10_000).toBe(true)
      }
      for (const { reason } of refusals) expect(known.has(reason)).toBe(true)
    }),
    { numRuns: 10_000, seed: 5 },
  )
})
