import { setTimeout as pause } from 'node:timers/promises'
import mqtt, { type MqttClient } from 'mqtt'
import { onTestFinished } from 'vitest'
import type { Shop } from '../../core/shop.js'
import { createLog } from '../../server/log.js'
import { type Service, startService } from '../../server/service.js'
import { readShop } from '../../server/shop/index.js'
import { usualRetention } from '../../server/store/sqlite.js'
import { createSimulatedShop, demoPlant, type SimulatedShop } from '../../simulators/index.js'
import { temporaryFolder } from '../temporary-folder.js'

const hour = 3_600_000

export interface LiveShop {
  service: Service
  simulated: SimulatedShop
  /** lets the shop live for so many of its own minutes, the service's clock with it, and publishes what its sensors send */
  live(minutes: number): Promise<void>
  /** the service's clock goes on without any reading */
  silence(minutes: number): Promise<void>
}

export const demoShop = (): Shop => {
  const read = readShop(new URL('../../simulators/demo-shop.yaml', import.meta.url).pathname)
  if ('problems' in read) throw new Error('the demo shop file does not parse')
  return read.shop
}

const publishAll = async (client: MqttClient, messages: { topic: string; payload: string }[]): Promise<void> => {
  await Promise.all(messages.map(({ topic, payload }) => client.publishAsync(topic, payload, { qos: 1 })))
}

/**
 * The demo shop's sensors on a real broker, and the real service listening, at a pace the test sets: the service's clock
 * is the shop's.
 *
 * @param start ms; the shop has lived eight hours of readings when this returns
 */
export const liveShop = async (broker: string, start: number, interval = 20): Promise<LiveShop> => {
  const shop = demoShop()
  const from = start - 8 * hour
  const simulated = createSimulatedShop(demoPlant, { seed: 5, start: from })
  let now = from
  const service = await startService(
    {
      shop: 'demo',
      broker: { url: broker },
      embeddedBroker: false,
      host: '127.0.0.1',
      port: 0,
      data: temporaryFolder(),
      token: null,
      retention: usualRetention,
      log: 'warn',
    },
    {
      shop: { ...shop, sensors: shop.sensors.map(s => ({ ...s, interval: Math.max(s.interval, interval) })) },
      log: createLog('warn', false),
      clock: () => now,
      history: { from, interval: 60 },
    },
  )
  onTestFinished(() => service.stop())
  const client = await mqtt.connectAsync(broker)
  onTestFinished(async () => {
    await client.endAsync(true)
  })

  const advance = async (to: number, every: number): Promise<void> => {
    const messages: { topic: string; payload: string }[] = []
    simulated.advance(to, message => messages.push(message), every)
    now = to
    await publishAll(client, messages)
  }
  for (let passed = 1; passed <= 8 * 6; passed++) await advance(from + passed * (hour / 6), 60)
  for (let waited = 0; service.now() < start - 60_000 && waited < 300; waited++) await pause(100)
  service.historyFilled()

  return {
    service,
    simulated,
    live: async minutes => {
      // in steps of the sensors' interval: the clock must not run ahead of readings that are still on their way
      for (let passed = 0; passed < minutes * 60; passed += interval) {
        await advance(now + interval * 1000, interval)
        await pause(50)
      }
      await pause(400)
    },
    silence: async minutes => {
      now += minutes * 60_000
      await pause(1500)
    },
  }
}
