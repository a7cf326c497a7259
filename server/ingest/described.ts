import type { Shop } from '../../core/shop.js'
import { createDecoder } from './decoder.js'
import { createSparkplugSessions } from './sparkplug/sessions.js'
import { subscriptionsFor } from './subscriptions.js'

/** What the shop file says of messages. */
export type Described = Pick<Shop, 'topics' | 'sparkplug' | 'lowBattery'> & {
  sensors: readonly Shop['sensors'][number][]
}

/**
 * How messages are read, and what is asked of the broker for them.
 *
 * @param before as it was described until now: births of Sparkplug nodes are known on as long as what they are for stays
 * the same
 */
export const messagesOf = (
  { sensors, topics, sparkplug, lowBattery }: Described,
  before?: { sparkplugSensors: string; sessions: ReturnType<typeof createSparkplugSessions> },
) => {
  const sparkplugSensors = JSON.stringify(sensors.filter(sensor => sensor.sparkplug))
  const sessions = before?.sparkplugSensors === sparkplugSensors ? before.sessions : createSparkplugSessions(sensors)
  return {
    decode: createDecoder(sensors, topics, lowBattery, sessions),
    subscriptions: subscriptionsFor(sensors, topics),
    mayRequestRebirth: sparkplug?.requestRebirth === true,
    sparkplugSensors,
    sessions,
  }
}
