import mqtt, { type MqttClient } from 'mqtt'
import type { BenchSensor } from './shop-text.js'

export const connected = async (url: string, options: mqtt.IClientOptions = {}): Promise<MqttClient> => {
  const client = await mqtt.connectAsync(url, { reconnectPeriod: 0, ...options })
  // what waits for an answer is told so by itself
  client.on('error', () => undefined)
  return client
}

/** °C in 1/16 K, so that values look like a sensor's */
const valueAt = (n: number): number => Math.round((21 + 2 * Math.sin(n / 900) + Math.random() * 0.1) * 16) / 16

export const payloadAt = (n: number, at: number): string => `{"value":${valueAt(n)},"time":${at}}`

/**
 * Publishes so many readings at QoS 1 as fast as the broker takes them, the sensors in turn.
 *
 * @param from ms; time of the first round; each round is `apart` ms later
 */
export const publishAll = async (
  client: MqttClient,
  sensors: readonly BenchSensor[],
  count: number,
  from: number,
  apart: number,
): Promise<void> => {
  const together = 500
  for (let n = 0; n < count; ) {
    const waiting: Promise<unknown>[] = []
    for (let k = 0; k < together && n < count; k++, n++) {
      const { topic } = sensors[n % sensors.length]!
      const at = from + Math.floor(n / sensors.length) * apart
      waiting.push(client.publishAsync(topic, payloadAt(n, at), { qos: 1 }))
    }
    await Promise.all(waiting)
  }
}

/**
 * Publishes at a steady rate for a while, each reading with its own moment, the sensors in turn.
 *
 * @param rate readings a second
 * @param length s
 */
export const publishSteadily = async (
  client: MqttClient,
  sensors: readonly BenchSensor[],
  rate: number,
  length: number,
): Promise<void> => {
  const begun = Date.now()
  let sent = 0
  await new Promise<void>(resolve => {
    const timer = setInterval(() => {
      const elapsed = Date.now() - begun
      const due = Math.min(Math.floor((elapsed / 1000) * rate), rate * length)
      for (; sent < due; sent++) {
        const { topic } = sensors[sent % sensors.length]!
        client.publish(topic, payloadAt(sent, Date.now()), { qos: 1 })
      }
      if (elapsed < length * 1000) return
      clearInterval(timer)
      resolve()
    }, 5)
  })
}
