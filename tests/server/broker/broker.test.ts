import { type AddressInfo, connect, createServer } from 'node:net'
import mqtt from 'mqtt'
import { expect, it, onTestFinished } from 'vitest'
import { startBroker } from '../../../server/broker/broker.js'
import { eventually } from '../../eventually.js'

const start = async (options: Parameters<typeof startBroker>[0]) => {
  const broker = await startBroker(options)
  onTestFinished(() => broker.stop())
  return broker
}

it('carries messages between clients, on loopback unless told otherwise', async () => {
  const broker = await start({ port: 0 })
  expect(broker.url).toBe(`mqtt://127.0.0.1:${broker.port}`)
  const subscriber = await mqtt.connectAsync(broker.url)
  onTestFinished(() => subscriber.endAsync(true))
  const heard: string[] = []
  subscriber.on('message', (topic, payload) => heard.push(`${topic} ${payload}`))
  await subscriber.subscribeAsync('shop/#', { qos: 1 })
  const publisher = await mqtt.connectAsync(broker.url)
  onTestFinished(() => publisher.endAsync(true))
  await publisher.publishAsync('shop/a', '20.5', { qos: 1 })
  await eventually(() => expect(heard).toEqual(['shop/a 20.5']))
})

it('a port in use is said plainly, and the broker that has it is not disturbed', async () => {
  const broker = await start({ port: 0 })
  await expect(startBroker({ port: broker.port })).rejects.toThrow(
    `The embedded broker cannot listen on 127.0.0.1, port ${broker.port}. Another program, perhaps a broker or a ` +
      'second service, uses it: stop that one or take another port.',
  )
  const client = await mqtt.connectAsync(broker.url)
  await client.endAsync()
})

it('an address this computer does not have is said plainly', async () => {
  const credentials = { user: 'iron', password: 'tongs' }
  // TEST-NET-1, RFC 5737: assigned to nobody
  await expect(startBroker({ host: '192.0.2.1', port: 0, credentials })).rejects.toThrow(/has no such address/)
})

it('where others can reach it, it starts only with user and password', async () => {
  await expect(startBroker({ host: '0.0.0.0', port: 0 })).rejects.toThrow(/user and a password/)
  const broker = await start({ host: '0.0.0.0', port: 0, credentials: { user: 'iron', password: 'tongs' } })
  const url = `mqtt://127.0.0.1:${broker.port}`
  const no = { reconnectPeriod: 0 }
  await expect(mqtt.connectAsync(url, no)).rejects.toThrow()
  await expect(mqtt.connectAsync(url, { ...no, username: 'iron', password: 'hammer' })).rejects.toThrow()
  await expect(mqtt.connectAsync(url, { ...no, username: 'iro', password: 'tongs' })).rejects.toThrow()
  const client = await mqtt.connectAsync(url, { ...no, username: 'iron', password: 'tongs' })
  await client.endAsync()
})

it('bytes that are no MQTT end that connection only', async () => {
  const broker = await start({ port: 0 })
  const socket = connect(broker.port, '127.0.0.1')
  const closed = new Promise(resolve => socket.once('close', resolve))
  socket.on('error', () => undefined)
  socket.write('GET / HTTP/1.1\r\nHost: broker\r\n\r\n')
  await closed
  const client = await mqtt.connectAsync(broker.url)
  await client.endAsync()
})

it('stopping closes all connections and frees the port', async () => {
  const broker = await startBroker({ port: 0 })
  const client = await mqtt.connectAsync(broker.url, { reconnectPeriod: 0 })
  const closed = new Promise<void>(resolve => client.once('close', () => resolve()))
  const idle = connect(broker.port, '127.0.0.1')
  idle.on('error', () => undefined)
  await new Promise(resolve => idle.once('connect', resolve))
  await broker.stop()
  await closed
  const server = createServer()
  await new Promise<void>(resolve => server.listen(broker.port, '127.0.0.1', resolve))
  expect((server.address() as AddressInfo).port).toBe(broker.port)
  await new Promise(resolve => server.close(resolve))
})
