import mqtt, { type IClientOptions, type MqttClient } from 'mqtt'
import { expect, it, onTestFinished, vi } from 'vitest'
import { startBroker } from '../../../server/broker/broker.js'
import { eventually } from '../../eventually.js'

const start = async () => {
  const broker = await startBroker({ port: 0 })
  onTestFinished(() => broker.stop())
  /** @returns a client that collects what comes to it, and acknowledges it or not */
  const connect = async (options: IClientOptions = {}, acknowledges = true) => {
    const client = mqtt.connect(broker.url, { reconnectPeriod: 0, ...options })
    client.on('error', () => undefined)
    onTestFinished(() => client.endAsync(true))
    const heard: string[] = []
    client.handleMessage = ({ payload }, next) => {
      heard.push(String(payload))
      next(acknowledges ? undefined : new Error('not acknowledged'))
    }
    await new Promise<void>(resolve => client.once('connect', () => resolve()))
    return { client, heard }
  }
  return { connect }
}

const session = { clientId: 'reader', clean: false }
const cut = ({ client }: { client: MqttClient }) =>
  new Promise<void>(resolve => {
    client.stream.once('close', () => resolve())
    client.stream.destroy()
  })

const numbers = (from: number, to: number) => Array.from({ length: to - from }, (_, index) => `${from + index}`)

it('what is not acknowledged comes again, whatever came under its packet identifier on the connection after', async () => {
  // the library counts identifiers from anywhere on each connection: here from the same number
  const random = vi.spyOn(Math, 'random').mockReturnValue(0.5)
  onTestFinished(() => random.mockRestore())
  const broker = await start()
  const { client: publisher } = await broker.connect()
  const publish = async (from: number, to: number) => {
    for (let first = from; first < to; first += 10)
      await Promise.all(numbers(first, first + 10).map(number => publisher.publishAsync('t', number, { qos: 1 })))
  }
  const deaf = await broker.connect(session, false)
  await deaf.client.subscribeAsync('t', { qos: 1 })
  await publish(0, 500)
  await eventually(() => expect(deaf.heard).toEqual(numbers(0, 500)))
  await cut(deaf)
  // while what waited is sent again, as much comes anew; and the connection breaks again and again in the middle
  const coming = publish(500, 2000)
  const seen = new Set<string>()
  for (let round = 0; round < 5; round += 1) {
    const reader = await broker.connect(session)
    await eventually(() => expect(reader.heard.length).toBeGreaterThan(50))
    await cut(reader)
    for (const number of reader.heard) seen.add(number)
  }
  const { heard } = await broker.connect(session)
  await coming
  await eventually(() =>
    expect(numbers(0, 2000).filter(number => !seen.has(number) && !heard.includes(number))).toEqual([]),
  )
})

it('retained messages and others, sent in one go, all arrive in their order', async () => {
  const broker = await start()
  const { client, heard } = await broker.connect(session)
  await client.subscribeAsync('#', { qos: 1 })
  const { client: publisher } = await broker.connect()
  const sent = numbers(0, 300)
  await Promise.all(
    sent.map((number, index) => publisher.publishAsync(`t/${index % 7}`, number, { qos: 1, retain: index % 3 === 0 })),
  )
  await eventually(() => expect(heard).toEqual(sent))
})

it('a retained message takes no identifier of one that waits', async () => {
  const random = vi.spyOn(Math, 'random').mockReturnValue(0)
  onTestFinished(() => random.mockRestore())
  const broker = await start()
  const { client: publisher } = await broker.connect()
  await publisher.publishAsync('kept/a', 'retained', { qos: 1, retain: true })
  const deaf = await broker.connect(session, false)
  await deaf.client.subscribeAsync('t', { qos: 1 })
  const sent = numbers(0, 20)
  await Promise.all(sent.map(number => publisher.publishAsync('t', number, { qos: 1 })))
  await eventually(() => expect(deaf.heard).toEqual(sent))
  await cut(deaf)
  // acknowledges the retained one only
  const picky = await broker.connect(session, false)
  const handle = picky.client.handleMessage
  picky.client.handleMessage = (packet, next) =>
    handle.call(picky.client, packet, error => next(packet.retain ? undefined : error))
  await picky.client.subscribeAsync('kept/#', { qos: 1 })
  await eventually(() => expect(picky.heard).toContain('retained'))
  await publisher.publishAsync('t', 'last', { qos: 1 })
  await eventually(() => expect(picky.heard).toContain('last'))
  await cut(picky)
  const { heard } = await broker.connect(session)
  await eventually(() => expect(heard).toEqual([...sent, 'last']))
})

it('what matches two subscriptions of a client is not taken for another message that still waits', async () => {
  const broker = await start()
  const before = await broker.connect(session)
  await before.client.subscribeAsync(['t', '#'], { qos: 1 })
  const { client: publisher } = await broker.connect()
  const sent = numbers(0, 1000)
  const coming = Promise.all(sent.map(number => publisher.publishAsync('t', number, { qos: 1 })))
  await eventually(() => expect(before.heard.length).toBeGreaterThan(100))
  await cut(before)
  const { heard } = await broker.connect(session)
  await coming
  await eventually(() =>
    expect(sent.filter(number => !before.heard.includes(number) && !heard.includes(number))).toEqual([]),
  )
})

it('retained messages that a client never acknowledges, or that waited for it, take no identifier for good and harm nobody', async () => {
  const broker = await start()
  const { client: publisher } = await broker.connect()
  const publish = (topic: (index: number) => string, count: number) =>
    Promise.all(
      numbers(0, count).map((number, index) => publisher.publishAsync(topic(index), number, { qos: 1, retain: true })),
    )
  const deaf = await broker.connect(session, false)
  await deaf.client.subscribeAsync('waits', { qos: 1 })
  await cut(deaf)
  // half of all identifiers: were each of them to take two, there would be none left
  await publish(() => 'waits', 33_000)
  const back = await broker.connect(session)
  await eventually(() => expect(back.heard).toHaveLength(33_000))
  await cut(back)

  await publish(index => `kept/${index}`, 4000)
  const again = await broker.connect(session, false)
  for (let times = 0; times < 18; times += 1) await again.client.subscribeAsync('kept/#', { qos: 1 })
  await eventually(() => expect(again.heard.length).toBeGreaterThanOrEqual(65_535))
  const other = await broker.connect({ clientId: 'other', clean: false })
  await other.client.subscribeAsync('t', { qos: 1 })
  await publisher.publishAsync('t', 'goes on', { qos: 1 })
  await eventually(() => expect(other.heard).toEqual(['goes on']))
})
