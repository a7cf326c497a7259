import type { AddressInfo } from 'node:net'
import { createServer, type Server, type Socket } from 'node:net'
import { setTimeout as pause } from 'node:timers/promises'
import mqtt, { type MqttClient } from 'mqtt'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { eventually } from '../../eventually.js'

// What server/ingest/connection.ts relies on and mqtt does not promise in its documents: read from its source, and held
// here byte by byte against a broker of a few lines. When this fails after an update, stay with the version before.

const topic = Buffer.from('t')

/** PUBLISH at QoS 1 with one byte of payload */
const publish = (version: 4 | 5, id: number, payload: number): Buffer => {
  const properties = version === 5 ? [0] : []
  const body = [0, topic.length, ...topic, id >> 8, id & 0xff, ...properties, payload]
  return Buffer.from([0x32, body.length, ...body])
}
const publishQos0 = (version: 4 | 5, payload: number): Buffer => {
  const body = [0, topic.length, ...topic, ...(version === 5 ? [0] : []), payload]
  return Buffer.from([0x30, body.length, ...body])
}
const connack = (version: 4 | 5): Buffer => Buffer.from(version === 5 ? [0x20, 3, 1, 0, 0] : [0x20, 2, 1, 0])
const puback = (id: number): number[] => [0x40, 2, id >> 8, id & 0xff]

describe.each([4, 5] as const)('mqtt, protocol version %i', version => {
  let server: Server
  let client: MqttClient
  let socket: Socket
  /** what came from the client after CONNECT */
  let sent: number[]

  const connect = async (withConnack: Buffer, handle: MqttClient['handleMessage']) => {
    sent = []
    server = createServer(accepted => {
      socket = accepted
      accepted.once('data', () => {
        accepted.on('data', bytes => sent.push(...bytes))
        accepted.write(withConnack)
      })
      accepted.on('error', () => undefined)
    })
    await new Promise<void>(resolve => server.listen(0, '127.0.0.1', resolve))
    client = mqtt.connect(`mqtt://127.0.0.1:${(server.address() as AddressInfo).port}`, {
      protocolVersion: version,
      clientId: 'contract',
      clean: false,
      reconnectPeriod: 0,
      keepalive: 60,
    })
    client.handleMessage = handle
    client.on('error', () => undefined)
  }

  beforeEach(() => {
    sent = []
  })
  afterEach(async () => {
    await client.endAsync(true)
    socket.destroy()
    await new Promise(resolve => server.close(resolve))
  })

  it('a callback with an error sends no PUBACK, and the next message is handed over', async () => {
    const handed: number[] = []
    await connect(
      Buffer.concat([connack(version), publish(version, 1, 11), publish(version, 2, 12), publishQos0(version, 13)]),
      (packet, done) => {
        handed.push((packet.payload as Buffer)[0]!)
        done(packet.qos > 0 ? new Error('later') : undefined)
      },
    )
    await eventually(() => expect(handed).toEqual([11, 12, 13]))
    await pause(100)
    expect(sent).toEqual([])
    expect(client.connected).toBe(true)
  })

  it('what is written to its stream reaches the broker, in order, as PUBACKs of our own', async () => {
    const ids: number[] = []
    await connect(
      Buffer.concat([connack(version), publish(version, 300, 1), publish(version, 7, 2)]),
      (packet, done) => {
        ids.push(packet.messageId!)
        done(new Error('later'))
      },
    )
    await eventually(() => expect(ids).toEqual([300, 7]))
    client.stream.write(Buffer.from(ids.flatMap(puback)))
    await eventually(() => expect(sent).toEqual([...puback(300), ...puback(7)]))
  })

  it('a callback without an error sends the PUBACK, and no message is handed over before it is called', async () => {
    const waiting: (() => void)[] = []
    await connect(
      Buffer.concat([connack(version), publish(version, 1, 1), publish(version, 2, 2)]),
      (_packet, done) => {
        waiting.push(() => done())
      },
    )
    await eventually(() => expect(waiting).toHaveLength(1))
    await pause(50)
    expect(waiting).toHaveLength(1)
    expect(sent).toEqual([])
    waiting[0]!()
    await eventually(() => expect(waiting).toHaveLength(2))
    // 5 adds the reason "success"; a PUBACK without one means the same (MQTT 5.0, 3.4.2.1)
    expect(sent.slice(0, 1)).toEqual([0x40])
    expect(sent.slice(2, 4)).toEqual([0, 1])
  })

  it('CONNACK is announced before messages that come with it', async () => {
    const order: string[] = []
    await connect(Buffer.concat([connack(version), publish(version, 1, 1)]), (_packet, done) => {
      order.push('message')
      done()
    })
    client.on('packetreceive', packet => {
      if (packet.cmd === 'connack') order.push(`connack ${packet.sessionPresent}`)
    })
    await eventually(() => expect(order).toEqual(['connack true', 'message']))
  })

  it('with reconnectPeriod 0 a broken connection is closed once and stays closed', async () => {
    const closed = vi.fn()
    await connect(connack(version), (_packet, done) => done())
    client.on('close', closed)
    await eventually(() => expect(client.connected).toBe(true))
    client.stream.destroy()
    await pause(200)
    expect(closed).toHaveBeenCalledTimes(1)
    expect(client.connected).toBe(false)
  })
})
