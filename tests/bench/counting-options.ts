import type { IClientOptions } from 'mqtt'

/** of the clients that only count */
export const countingOptions: Record<'defaults' | 'window', IClientOptions> = {
  /** the library's own: MQTT 3.1.1, and mosquitto's own 20 messages under way */
  defaults: {},
  /** what the service asks for */
  window: { protocolVersion: 5, properties: { receiveMaximum: 4000 } },
}
