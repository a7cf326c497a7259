import { setTimeout as pause } from 'node:timers/promises'
import mqtt, { type MqttClient } from 'mqtt'
import type { BenchSensor } from './shop-text.js'

export const connected = async (url: string, options: mqtt.IClientOptions = {}): Promise<MqttClient> => {
  const client = await mqtt.connectAsync(url, { reconnectPeriod: 0, ...options })
  // what waits for an answer is told so by itself
  client.on('error', () => undefined)
  return client
}

/** °C in 1/16 K, so that values look like a sensor's */
export const valueAt = (n: number): number => Math.round((21 + 2 * Math.sin(n / 900) + Math.random() * 0.1) * 16) / 16

const payloadAt = (n: number, at: number): string => `{"value":${valueAt(n)},"time":${at}}`

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
 * Publishes at a steady rate for a while, each reading with its own moment, the sensors in turn. Ends early, with an error,
 * when the broker takes far less than that.
 *
 * @param rate readings a second
 * @param length s
 * @param first how many were published before
 * @returns how many were published, each acknowledged by the broker
 */
export const publishSteadily = async (
  client: MqttClient,
  sensors: readonly BenchSensor[],
  rate: number,
  length: number,
  first = 0,
): Promise<number> => {
  const begun = Date.now()
  const count = Math.round(rate * length)
  let sent = 0
  let acknowledged = 0
  await new Promise<void>((resolve, reject) => {
    const end = (error?: Error) => {
      clearInterval(timer)
      if (error) reject(error)
      else resolve()
    }
    const timer = setInterval(() => {
      const due = Math.min(Math.floor(((Date.now() - begun) / 1000) * rate), count)
      for (; sent < due; sent++) {
        const { topic } = sensors[(first + sent) % sensors.length]!
        client.publish(topic, payloadAt(first + sent, Date.now()), { qos: 1 }, error => {
          if (error) end(error)
          acknowledged += 1
          if (acknowledged === count) end()
        })
      }
      if (sent - acknowledged > 10 * rate + 10_000)
        end(new Error(`the broker does not take ${rate} readings a second on this machine`))
    }, 5)
  })
  return count
}

/**
 * Goes on publishing one reading of each sensor at a time, as a shop does while it is asked something.
 *
 * @param value °C of the sensor of that index at a moment (ms)
 * @param every ms
 * @returns ends it, once what is on its way has been taken
 */
export const keepPublishing = (
  client: MqttClient,
  sensors: readonly BenchSensor[],
  value: (sensor: number, at: number) => number,
  every: number,
): (() => Promise<void>) => {
  let isOver = false
  const published = (async () => {
    for (; !isOver; await pause(every)) {
      const at = Date.now()
      await Promise.all(
        sensors.map(({ topic }, i) => client.publishAsync(topic, `{"value":${value(i, at)},"time":${at}}`, { qos: 1 })),
      )
    }
  })()
  return () => {
    isOver = true
    return published
  }
}
