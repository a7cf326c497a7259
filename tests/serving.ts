import { pino } from 'pino'
import { expect, onTestFinished } from 'vitest'
import type { Shop } from '../core/shop.js'
import { pagesFolder } from '../server/project.js'
import { type Service, type ServiceOptions, startService } from '../server/service.js'
import type { Settings } from '../server/settings/index.js'
import { usualRetention } from '../server/store/sqlite.js'
import { temporaryFolder } from './temporary-folder.js'

/** On loopback, with a broker of its own and an empty database, saying only what went wrong. */
export const settingsFor = (more: Partial<Settings> = {}): Settings => ({
  shop: 'shop.yaml',
  broker: { url: 'mqtt://127.0.0.1:0' },
  embeddedBroker: true,
  host: '127.0.0.1',
  port: 0,
  data: more.data ?? temporaryFolder(),
  token: null,
  retention: usualRetention,
  log: 'error',
  ...more,
})

/** The real service until the test has ended, silent and without pages where it is not said otherwise. */
export const started = async (
  options: Pick<ServiceOptions, 'shop'> & Partial<ServiceOptions>,
  settings: Partial<Settings> = {},
): Promise<Service> => {
  const log = pino({ level: 'silent' })
  const service = await startService(settingsFor(settings), { log, pages: '/nowhere', ...options })
  onTestFinished(service.stop)
  return service
}

/**
 * The real service for a shop, connected to a broker, with a database of its own, until the test has ended.
 *
 * @param pages folder of the pages; those that are built if not given
 */
export const serving = async (shop: Shop, broker: string, pages = pagesFolder): Promise<Service> => {
  const service = await started({ shop, pages }, { broker: { url: broker }, embeddedBroker: false })
  await expect.poll(() => service.monitor.shop().broker).toBe('connected')
  return service
}
