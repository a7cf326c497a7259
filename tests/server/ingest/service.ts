import mqtt, { type MqttClient } from 'mqtt'
import { onTestFinished } from 'vitest'
import type { Sensor } from '../../../core/shop.js'
import { createIngest, type Ingest, type IngestOptions } from '../../../server/ingest/ingest.js'
import type { Reading } from '../../../server/ingest/reading.js'
import { openStore, type SqliteStore } from '../../../server/store/sqlite.js'
import { keptLog } from './sensors.js'

/** Store and ingest as the service composes them, on a folder that outlives them. */
export interface Service {
  store: SqliteStore
  ingest: Ingest
  /** what was passed on, in order */
  passed: Reading[]
  states: string[]
  log: ReturnType<typeof keptLog>
  stop(): Promise<void>
}

export const startService = (
  folder: string,
  url: string,
  sensors: readonly Sensor[],
  different: (store: SqliteStore) => Partial<IngestOptions> = () => ({}),
): Service => {
  const store = openStore(folder)
  const passed: Reading[] = []
  const states: string[] = []
  const log = keptLog()
  const ingest = createIngest({
    broker: { url },
    sensors,
    store,
    onReadings: readings => passed.push(...readings),
    onBroker: state => states.push(state),
    log,
    ...different(store),
  })
  ingest.start()
  let running = true
  const stop = async () => {
    if (!running) return
    running = false
    await ingest.stop()
    store.close()
  }
  onTestFinished(stop)
  return { store, ingest, passed, states, log, stop }
}

/** a sensor's side of the broker */
export const publisher = async (url: string): Promise<MqttClient> => {
  const client = await mqtt.connectAsync(url, { reconnectPeriod: 100 })
  client.on('error', () => undefined)
  onTestFinished(() => client.endAsync(true))
  return client
}

export const published = (value: unknown, time: number): string => JSON.stringify({ value, time })
