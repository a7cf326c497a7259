import mqtt, { type IClientOptions, type IPublishPacket, type MqttClient } from 'mqtt'
import type { BrokerAddress } from './broker-address.js'

/** messages the broker may have under way to us before it waits for acknowledgements (MQTT 5) */
export const window = 4000
/** s; how long the broker keeps what comes while we are away (MQTT 5): longer than a shop's holidays */
const sessionKept = 30 * 86_400
/** topics in one SUBSCRIBE packet */
const subscribedTogether = 100
/** bytes; a broker of MQTT 5 sends us nothing larger; what is larger than a reading can be is refused and counted */
const largestPacket = 1024 * 1024

export type ProtocolVersion = 4 | 5

interface ConnectionOptions {
  broker: BrokerAddress
  clientId: string
  version: ProtocolVersion
  /** the broker has let us in; whether it still had our session. Comes before any message */
  onSession(kept: boolean): void
  /** the connection stands and can be subscribed on */
  onReady(): void
  /** must not throw */
  onMessage(message: IPublishPacket): void
  onClosed(why: ClosedBecause): void
}

export interface ClosedBecause {
  /** why, in words; empty when the broker merely closed or refused the version */
  text: string
  /** the broker answered that it does not speak this version of MQTT */
  versionRefused: boolean
  /** the network connection stood, but the broker never answered */
  unanswered: boolean
  /** the broker said that another client has connected under our name */
  takenOver: boolean
  /** the broker had let us in and closed the connection without a word */
  byBroker: boolean
}

/** One network connection. Packet numbers belong to one connection, so nothing of it outlives it. */
export interface Connection {
  /** acknowledges by packet number, in this order */
  acknowledge(ids: readonly number[]): void
  /** @returns the topics the broker refused, or granted without acknowledgement; @throws when the connection breaks */
  subscribe(topics: readonly string[]): Promise<string[]>
  unsubscribe(filters: readonly string[]): void
  /** a command, which no broker keeps; whether it arrives is not known */
  publish(topic: string, payload: Buffer): void
  /** breaks it off: the broker sends again what was not acknowledged */
  destroy(): void
  /** says good-bye; resolves when it is closed, within a second or so */
  end(): Promise<void>
}

/** handed to the callback of `handleMessage`, so that the library itself sends no acknowledgement */
const later = new Error('acknowledged after the commit')

// refused by version: 1 in MQTT 3.1.1, 132 in MQTT 5
const versionCodes: readonly unknown[] = [1, 132]

/** MQTT 5, DISCONNECT: session taken over */
const takenOver = 142

const optionsFor = ({ broker, clientId, version }: ConnectionOptions): IClientOptions => ({
  clientId,
  protocolVersion: version,
  clean: false,
  keepalive: 15,
  connectTimeout: 5_000,
  reconnectPeriod: 0,
  resubscribe: false,
  ...(broker.user === undefined ? {} : { username: broker.user }),
  ...(broker.password === undefined ? {} : { password: broker.password }),
  ...(broker.ca ? { ca: broker.ca } : {}),
  ...(broker.cert ? { cert: broker.cert } : {}),
  ...(broker.key ? { key: broker.key } : {}),
  ...(version === 5
    ? {
        properties: {
          sessionExpiryInterval: sessionKept,
          receiveMaximum: window,
          maximumPacketSize: largestPacket,
        },
      }
    : {}),
})

/** PUBACK: type 4, length 2, packet number; the same in 3.1.1 and, for "success", in 5 */
const puback = (ids: readonly number[]): Buffer => {
  const bytes = Buffer.allocUnsafe(4 * ids.length)
  ids.forEach((id, index) => {
    bytes.writeUInt16BE(0x4002, 4 * index)
    bytes.writeUInt16BE(id, 4 * index + 2)
  })
  return bytes
}

const subscribeSome = (client: MqttClient, topics: string[]): Promise<string[]> =>
  new Promise((resolve, reject) => {
    // rh 1: retained messages only for a subscription that is new (MQTT 5)
    client.subscribe(topics, { qos: 1, rh: 1 }, (error, _, packet) => {
      const granted = packet && 'granted' in packet ? packet.granted : undefined
      if (granted) resolve(topics.filter((_topic, index) => granted[index] !== 1))
      else reject(error ?? new Error('the broker did not say what it granted'))
    })
  })

const end = (client: MqttClient): Promise<void> =>
  new Promise(resolve => {
    const timer = setTimeout(() => client.stream.destroy(), 1000)
    const done = () => {
      clearTimeout(timer)
      resolve()
    }
    if (client.stream.destroyed) done()
    else {
      client.stream.once('close', done)
      client.end()
    }
  })

/**
 * Opens one connection to the broker with a persistent session, and gives each message to `onMessage` without
 * acknowledging it.
 *
 * mqtt hands packets over one by one and sends its acknowledgement when the callback of `handleMessage` is called
 * without an error; called with one, it sends none and goes on. tests/server/ingest/mqtt-contract.test.ts holds it to
 * that.
 */
export const openConnection = (options: ConnectionOptions): Connection => {
  const client = mqtt.connect(options.broker.url, optionsFor(options))
  const stream = client.stream
  let text = ''
  let versionRefused = false
  let opened = false
  let answered = false
  let broken = false
  let letIn = false
  let isTakenOver = false

  client.handleMessage = (packet, next) => {
    // what the library had already read when the connection broke is sent again on the next one
    if (!broken) options.onMessage(packet)
    next(packet.qos > 0 ? later : undefined)
  }
  stream.once(options.broker.url.startsWith('mqtts:') ? 'secureConnect' : 'connect', () => {
    opened = true
  })
  client.on('packetreceive', packet => {
    if (packet.cmd !== 'connack') return
    answered = true
    const code = packet.reasonCode ?? packet.returnCode
    letIn = code === 0
    if (letIn) options.onSession(packet.sessionPresent)
    else versionRefused = versionCodes.includes(code)
  })
  client.on('connect', () => options.onReady())
  client.on('disconnect', ({ reasonCode }) => {
    if (reasonCode !== takenOver) return
    isTakenOver = true
    text ||= `another client has connected as ${options.clientId}`
  })
  client.on('error', error => {
    if (versionRefused) return
    // connecting to a name with several addresses fails without a message
    text ||= error.message || ('code' in error ? String(error.code) : 'no reason given')
  })
  client.once('close', () => {
    const byBroker = letIn && !broken && text === ''
    broken = true
    options.onClosed({ text, versionRefused, unanswered: opened && !answered, takenOver: isTakenOver, byBroker })
  })

  return {
    acknowledge(ids) {
      if (ids.length > 0 && stream.writable) stream.write(puback(ids))
    },
    async subscribe(topics) {
      const refused: string[] = []
      for (let start = 0; start < topics.length; start += subscribedTogether)
        refused.push(...(await subscribeSome(client, topics.slice(start, start + subscribedTogether))))
      return refused
    },
    unsubscribe(filters) {
      client.unsubscribe([...filters], () => undefined)
    },
    publish(topic, payload) {
      client.publish(topic, payload, { qos: 0, retain: false }, () => undefined)
    },
    destroy() {
      broken = true
      stream.destroy()
    },
    end() {
      broken = true
      return end(client)
    },
  }
}
