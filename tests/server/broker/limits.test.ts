import { connect } from 'node:net'
import mqtt, { type IClientOptions, type MqttClient } from 'mqtt'
import { expect, it, onTestFinished } from 'vitest'
import { startBroker } from '../../../server/broker/broker.js'
import { type Limits, limits, refusals } from '../../../server/broker/limits.js'
import { packetSizes } from '../../../server/broker/packet-sizes.js'
import { eventually } from '../../eventually.js'
import { heapInUse } from '../../heap.js'

const start = async (different: Partial<Limits> = {}) => {
  const lines: string[] = []
  const broker = await startBroker({ port: 0, limits: { ...limits, ...different }, warn: line => lines.push(line) })
  onTestFinished(() => broker.stop())
  return { ...broker, lines }
}
const client = async (url: string, options: IClientOptions = {}): Promise<MqttClient> => {
  const made = await mqtt.connectAsync(url, { reconnectPeriod: 0, ...options })
  made.on('error', () => undefined)
  onTestFinished(() => made.endAsync(true))
  return made
}
const kept = { clean: false, reconnectPeriod: 0 }

it('the lengths of packets are followed through pieces of any size', () => {
  // MQTT 3.1.1, 2.2.3, table 2.4: the largest length of one byte is 127, of two 16,383, of three 2,097,151
  const packet = (length: number, header: number[]) =>
    Buffer.concat([Buffer.from([0x30, ...header]), Buffer.alloc(length, 0xff)])
  const stream = Buffer.concat([
    packet(0, [0]),
    packet(127, [0x7f]),
    packet(128, [0x80, 0x01]),
    packet(16_383, [0xff, 0x7f]),
    packet(16_384, [0x80, 0x80, 0x01]),
  ])
  for (const piece of [1, 2, 3, 1000, stream.length]) {
    for (const [most, over] of [
      [16_384, false],
      [16_383, true],
    ] as const) {
      const isOver = packetSizes(most)
      let found = false
      for (let place = 0; place < stream.length && !found; place += piece)
        found = isOver(stream.subarray(place, place + piece))
      expect(found).toBe(over)
    }
  }
  expect(packetSizes(1e9)(Buffer.from([0x30, 0xff, 0xff, 0xff, 0xff, 0x01]))).toBe(true)
})

it('a packet that is too large ends its connection before it is kept, and is counted and logged', async () => {
  const broker = await start()
  const subscriber = await client(broker.url)
  const heard: number[] = []
  subscriber.on('message', (_, payload) => heard.push(payload.length))
  await subscriber.subscribeAsync('t', { qos: 1 })
  const publisher = await client(broker.url)
  await publisher.publishAsync('t', Buffer.alloc(200_000), { qos: 1 })
  const cutOff = new Promise<void>(resolve => publisher.once('close', () => resolve()))
  publisher.publish('t', Buffer.alloc(300_000), { qos: 1 })
  await cutOff
  expect(broker.refused()).toEqual({ [refusals.packet]: 1 })
  expect(broker.lines).toEqual([expect.stringMatching(/refused something of .*: packet too large, 1 times/)])
  // 256 MB announced, a byte at a time
  const slow = connect(broker.port, '127.0.0.1')
  slow.on('error', () => undefined)
  slow.write(Buffer.from([0x10, 0xff, 0xff, 0xff, 0x7f]))
  await new Promise(resolve => slow.once('close', resolve))
  expect(broker.refused()).toEqual({ [refusals.packet]: 2 })
  await eventually(() => expect(heard).toEqual([200_000]))
})

it('2,000 retained messages of 200 kB take what is allowed and no more; what is kept can be replaced and removed', async () => {
  const broker = await start({ retained: { messages: 5000, bytes: 4 * 1024 * 1024 } })
  const publisher = await client(broker.url)
  const before = heapInUse() + process.memoryUsage().arrayBuffers
  for (let number = 0; number < 2000; number += 1)
    await publisher.publishAsync(`t/${number}`, Buffer.alloc(200_000), { qos: 1, retain: true })
  // unbounded, it would be 400 MB
  expect(heapInUse() + process.memoryUsage().arrayBuffers - before).toBeLessThan(60e6)
  expect(broker.refused()).toEqual({ [refusals.retained]: 1980 })
  expect(broker.lines).toHaveLength(1)
  await publisher.publishAsync('t/0', 'short', { qos: 1, retain: true })
  await publisher.publishAsync('t/1', '', { qos: 1, retain: true })
  await publisher.publishAsync('new', Buffer.alloc(200_000), { qos: 1, retain: true })
  expect(broker.refused()).toEqual({ [refusals.retained]: 1980 })
  const reader = await client(broker.url)
  const topics = new Set<string>()
  reader.on('message', topic => topics.add(topic))
  await reader.subscribeAsync('#', { qos: 1 })
  await eventually(() => expect(topics.size).toBe(20))
  expect([...topics]).toEqual(expect.arrayContaining(['t/0', 'new']))
})

it('topics with a retained message are counted too', async () => {
  const broker = await start({ retained: { messages: 3, bytes: 1e6 } })
  const publisher = await client(broker.url)
  for (let number = 0; number < 5; number += 1)
    await publisher.publishAsync(`t/${number}`, 'x', { qos: 1, retain: true })
  expect(broker.refused()).toEqual({ [refusals.retained]: 2 })
})

it('a client that is away gets what its queue holds, and the others are not held up', async () => {
  const broker = await start({ queue: { messages: 100, bytes: 1e6 } })
  const options = { ...kept, clientId: 'away' }
  const away = await client(broker.url, options)
  await away.subscribeAsync('t', { qos: 1 })
  await away.endAsync()
  const there = await client(broker.url)
  let heard = 0
  there.on('message', () => {
    heard += 1
  })
  await there.subscribeAsync('t', { qos: 1 })
  const publisher = await client(broker.url)
  for (let number = 0; number < 250; number += 1) await publisher.publishAsync('t', String(number), { qos: 1 })
  await eventually(() => expect(heard).toBe(250))
  expect(broker.refused()).toEqual({ [refusals.queue]: 150 })
  const got: number[] = []
  const back = mqtt.connect(broker.url, options)
  onTestFinished(() => back.endAsync(true))
  back.on('message', (_, payload) => got.push(Number(payload)))
  await eventually(() => expect(got).toHaveLength(100))
  expect(got).toEqual(Array.from({ length: 100 }, (_, number) => number))
  // and with room again, what comes is kept again
  await eventually(async () => {
    await publisher.publishAsync('t', '1000', { qos: 1 })
    expect(got).toContain(1000)
  })
})

it('a client that is there and acknowledges nothing is cut off, and the others are not held up', async () => {
  const broker = await start({ queue: { messages: 50, bytes: 1e6 } })
  const deaf = await client(broker.url, { ...kept, clientId: 'deaf' })
  await deaf.subscribeAsync('t', { qos: 1 })
  deaf.handleMessage = () => undefined
  const cutOff = new Promise<void>(resolve => deaf.once('close', () => resolve()))
  const there = await client(broker.url)
  let heard = 0
  there.on('message', () => {
    heard += 1
  })
  await there.subscribeAsync('t', { qos: 1 })
  const publisher = await client(broker.url)
  for (let number = 0; number < 200; number += 1) await publisher.publishAsync('t', String(number), { qos: 1 })
  await cutOff
  await eventually(() => expect(heard).toBe(200))
  expect(broker.refused()[refusals.queue]).toBeGreaterThanOrEqual(100)
})

it('the bytes of all queues together are bounded', async () => {
  const broker = await start({ queues: 1_000_000 })
  for (const clientId of ['one', 'two']) {
    const away = await client(broker.url, { ...kept, clientId })
    await away.subscribeAsync('t', { qos: 1 })
    await away.endAsync()
  }
  const publisher = await client(broker.url)
  for (let number = 0; number < 10; number += 1) await publisher.publishAsync('t', Buffer.alloc(100_000), { qos: 1 })
  // nine fit
  await eventually(() => expect(broker.refused()).toEqual({ [refusals.queue]: 11 }))
})

it('connections and kept sessions beyond the limits are refused, those that are there go on', async () => {
  const broker = await start({ connections: 3, sessions: 2 })
  const first = await client(broker.url, { ...kept, clientId: 'a' })
  const second = await client(broker.url, { ...kept, clientId: 'b' })
  await expect(mqtt.connectAsync(broker.url, { ...kept, clientId: 'c' })).rejects.toThrow(/Server unavailable/)
  const third = await client(broker.url)
  const fourth = mqtt.connect(broker.url, { reconnectPeriod: 0 })
  fourth.on('error', () => undefined)
  await new Promise<void>(resolve => fourth.once('close', () => resolve()))
  expect(broker.refused()).toEqual({ [refusals.session]: 1, [refusals.connection]: 1 })
  await second.endAsync()
  await client(broker.url, { ...kept, clientId: 'b' })
  await Promise.all([first, third].map(each => each.publishAsync('t', 'x', { qos: 1 })))
})
