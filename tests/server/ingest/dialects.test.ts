import mqtt from 'mqtt'
import { describe, expect, it, onTestFinished } from 'vitest'
import type { TopicMapping } from '../../../core/shop.js'
import { reasons } from '../../../server/ingest/reasons.js'
import { readPayload } from '../../../server/ingest/sparkplug/payload.js'
import { eventually } from '../../eventually.js'
import { startMosquitto } from '../../mosquitto.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { sensor, withoutTopic } from './sensors.js'
import { publisher, type Service, startService } from './service.js'
import { bdSeq, data, payload } from './sparkplug.js'

const broker = async () => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  return mosquitto
}
const connected = (service: Service) => eventually(() => expect(service.states.at(-1)).toBe('connected'))
const values = (service: Service) =>
  [...service.store.readings(0, Number.POSITIVE_INFINITY)].flat().map(r => [r.sensor, r.value])

describe('topics with named parts, through a real broker', () => {
  const topics: TopicMapping[] = [
    { pattern: 'plant/{sensor}/temperature', sensor: '{sensor}', payload: { kind: 'json', value: 't', time: 'at' } },
    {
      pattern: 'gateway/{box}',
      sensor: '{box}-{name}',
      payload: { kind: 'json', readings: 'data', name: 'id', value: 't', time: 'at', unit: 'u' },
    },
  ]

  it('bring many sensors; what is none of them is unassigned and acknowledged', async () => {
    const { url } = await broker()
    const folder = temporaryFolder()
    const sensors = [withoutTopic('a'), withoutTopic('b', { nameOnBroker: 'west-2' }), sensor('own')]
    const different = () => ({ topics })
    const first = startService(folder, url, sensors, different)
    await connected(first)
    const client = await publisher(url)
    const now = Date.now()
    const data = [
      { id: 2, t: '68,0', u: 'F', at: now - 20 },
      { id: 3, t: 1, at: now },
      { id: 2, t: 'unavailable', at: now },
    ]
    await client.publishAsync('plant/a/temperature', JSON.stringify({ t: '20.5 °C', at: now * 1000 }), { qos: 1 })
    await client.publishAsync('plant/unheard-of/temperature', '{"t":1}', { qos: 1 })
    await client.publishAsync('gateway/west', JSON.stringify({ data }), { qos: 1 })
    await client.publishAsync('shop/own', JSON.stringify({ value: 30, time: now }), { qos: 1 })
    await eventually(() => expect(first.ingest.stats()).toMatchObject({ received: 4, stored: 3, waiting: 0 }))
    expect(values(first).sort()).toEqual([
      ['a', 20.5],
      ['b', 20],
      ['own', 30],
    ])
    expect(first.ingest.stats().refused).toEqual({ [reasons.noValue]: 1 })
    const unassigned = first.ingest.unassigned()
    expect(unassigned.topics.map(({ topic, name, count }) => [topic, name, count]).sort()).toEqual([
      ['gateway/west', 'west-3', 1],
      ['plant/unheard-of/temperature', 'unheard-of', 1],
    ])
    await first.stop()
    // all four were acknowledged, the refused and the unassigned ones too: nothing comes again
    const second = startService(folder, url, sensors, different)
    await connected(second)
    await client.publishAsync('shop/own', JSON.stringify({ value: 31, time: now + 1 }), { qos: 1 })
    await eventually(() => expect(second.ingest.stats().stored).toBe(1))
    expect(second.ingest.stats().received).toBe(1)
  })

  it('that the shop has given up are not sent any more', async () => {
    const { url } = await broker()
    const folder = temporaryFolder()
    const before = startService(folder, url, [withoutTopic('a')], () => ({ topics }))
    await connected(before)
    await before.stop()
    const client = await publisher(url)
    await client.publishAsync('plant/a/temperature', '{"t":1}', { qos: 1 })
    const after = startService(folder, url, [sensor('own')])
    await eventually(() => expect(after.ingest.stats().refused).toEqual({ [reasons.unknownTopic]: 1 }))
    await eventually(async () => {
      const { received } = after.ingest.stats()
      await client.publishAsync('plant/x/temperature', '{"t":1}', { qos: 1 })
      await client.publishAsync('shop/own', JSON.stringify({ value: 20, time: Date.now() }), { qos: 1 })
      await eventually(() => expect(after.ingest.stats().received).toBeGreaterThan(received))
      expect(after.ingest.stats().received).toBe(received + 1)
    })
  })
})

describe('Sparkplug B, through a real broker', () => {
  const sensors = [
    withoutTopic('air', { sparkplug: { group: 'hall', node: 'edge', metric: 'Air' } }),
    withoutTopic('screw', { sparkplug: { group: 'hall', node: 'edge', device: 'mill', metric: 'Screw' } }),
  ]
  const birth = (session: number, now: number) =>
    payload([bdSeq(session), { name: 'Air', alias: 1, type: 'Double', value: 20, timestamp: now - 100 }], 0, now)
  const deviceBirth = (now: number) =>
    payload([{ name: 'Screw', alias: 2, type: 'Float', value: 21, timestamp: now - 100 }], 1, now)

  /** an edge node with its will, as the specification wants it: NDEATH at QoS 1, all else at QoS 0 */
  const edgeNode = async (url: string, session: number) => {
    const client = await mqtt.connectAsync(url, {
      reconnectPeriod: 0,
      will: { topic: 'spBv1.0/hall/NDEATH/edge', payload: payload([bdSeq(session)]), qos: 1, retain: false },
    })
    onTestFinished(() => client.endAsync(true))
    return client
  }

  it('birth, data by alias, and the will as death: its sensors are gone at once', async () => {
    const { url } = await broker()
    const events: [readonly string[], string | null, number][] = []
    const service = startService(temporaryFolder(), url, sensors, store => ({
      onLost: (those, reason) =>
        events.push([those, reason, [...store.readings(0, Number.POSITIVE_INFINITY)].flat().length]),
    }))
    await connected(service)
    const node = await edgeNode(url, 3)
    const now = Date.now()
    await node.publishAsync('spBv1.0/hall/NDATA/edge', data([{ alias: 1, type: 'Double', value: 1 }], 9))
    await node.publishAsync('spBv1.0/hall/NBIRTH/edge', birth(3, now))
    await node.publishAsync('spBv1.0/hall/DBIRTH/edge/mill', deviceBirth(now))
    const sent = data([{ alias: 2, type: 'Float', value: 22, timestamp: now - 50 }], 2)
    await node.publishAsync('spBv1.0/hall/DDATA/edge/mill', sent)
    await eventually(() => expect(values(service)).toHaveLength(3))
    expect(values(service).sort()).toEqual([
      ['air', 20],
      ['screw', 21],
      ['screw', 22],
    ])
    expect(service.ingest.stats().refused).toEqual({ [reasons.beforeBirth]: 1 })
    node.stream.destroy()
    await eventually(() => expect(events.at(-1)?.[0]).toEqual(['air', 'screw']))
    // after the readings that came before it
    expect(events.at(-1)).toEqual([['air', 'screw'], 'its edge node edge has lost the broker', 3])
    const again = await edgeNode(url, 4)
    await again.publishAsync('spBv1.0/hall/NBIRTH/edge', birth(4, Date.now()))
    await eventually(() => expect(events.at(-1)?.slice(0, 2)).toEqual([['air'], null]))
  })

  it('a node is asked for its birth only where the shop file allows it', async () => {
    const { url } = await broker()
    const watcher = await publisher(url)
    const commands: { topic: string; bytes: Buffer; retain: boolean }[] = []
    watcher.on('message', (topic, bytes, { retain }) => commands.push({ topic, bytes, retain }))
    await watcher.subscribeAsync('spBv1.0/+/NCMD/#', { qos: 0 })
    const silent = startService(temporaryFolder(), url, sensors)
    await connected(silent)
    const node = await edgeNode(url, 0)
    const sent = data([{ alias: 1, type: 'Double', value: 1 }], 9)
    await node.publishAsync('spBv1.0/hall/NDATA/edge', sent)
    await eventually(() => expect(silent.ingest.stats().refused).toEqual({ [reasons.beforeBirth]: 1 }))
    await silent.stop()
    expect(commands).toEqual([])

    const asking = startService(temporaryFolder(), url, sensors, () => ({ sparkplug: { requestRebirth: true } }))
    await eventually(() => expect(commands).toHaveLength(1))
    // once, however much comes before the birth does
    await node.publishAsync('spBv1.0/hall/NDATA/edge', sent)
    await eventually(() => expect(asking.ingest.stats().refused).toEqual({ [reasons.beforeBirth]: 1 }))
    expect(commands).toHaveLength(1)
    const [{ topic, bytes, retain }] = commands as [(typeof commands)[0]]
    // Eclipse Sparkplug Specification 3.0.0: NCMD with the metric Node Control/Rebirth, Boolean (11), true, not retained
    expect([topic, retain]).toEqual(['spBv1.0/hall/NCMD/edge', false])
    const command = readPayload(bytes)
    const [metric] = typeof command === 'string' ? [] : command.metrics
    expect([metric?.name, metric?.datatype, metric?.valueAs(11)]).toEqual(['Node Control/Rebirth', 11, true])
  })
})
