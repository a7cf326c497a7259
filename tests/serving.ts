import { pino } from 'pino'
import { expect, onTestFinished } from 'vitest'
import type { Shop } from '../core/shop.js'
import { type Service, startService } from '../server/service.js'
import { usualRetention } from '../server/store/sqlite.js'
import { temporaryFolder } from './temporary-folder.js'

/**
 * The real service for a shop, connected to a broker, with a database of its own, until the test has ended.
 *
 * @param pages folder of the pages; those that are built if not given
 */
export const serving = async (shop: Shop, broker: string, pages?: string): Promise<Service> => {
  const service = await startService(
    {
      shop: 'shop.yaml',
      broker: { url: broker },
      embeddedBroker: false,
      host: '127.0.0.1',
      port: 0,
      data: temporaryFolder(),
      token: null,
      retention: usualRetention,
      log: 'error',
    },
    { shop, log: pino({ level: 'silent' }), ...(pages && { pages }) },
  )
  onTestFinished(service.stop)
  await expect.poll(() => service.monitor.shop().broker, { timeout: 10_000 }).toBe('connected')
  return service
}
