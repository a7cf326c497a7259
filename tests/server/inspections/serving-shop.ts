import { pino } from 'pino'
import { onTestFinished } from 'vitest'
import { startService } from '../../../server/service.js'
import { usualRetention } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { now, shop } from '../http/fakes.js'

/**
 * The real service with an empty database, and its clock standing at `now` (Monday 2 March 2026, 08:00 UTC).
 *
 * @param pages folder of the built pages; undefined: those that were built
 */
export const serveShop = async (folder = temporaryFolder(), pages: string | undefined = '/nowhere') => {
  const service = await startService(
    {
      shop: 'shop.yaml',
      broker: { url: 'mqtt://127.0.0.1:0' },
      embeddedBroker: true,
      host: '127.0.0.1',
      port: 0,
      data: folder,
      token: null,
      retention: usualRetention,
      log: 'error',
    },
    { shop, log: pino({ level: 'silent' }), ...(pages !== undefined && { pages }), clock: () => now },
  )
  onTestFinished(service.stop)
  const base = service.url.replace(/\/\/[^:/]+/, '//127.0.0.1')
  const answered = async (reply: Response) => ({ status: reply.status, body: await reply.json() })
  const get = async (path: string) => answered(await fetch(`${base}/api/${path}`))
  const sendTable = async (path: string, table: string | Uint8Array, query: Record<string, string> = {}) => {
    const body = typeof table === 'string' ? table : Buffer.from(table)
    return answered(
      await fetch(`${base}/api/${path}?${new URLSearchParams(query)}`, {
        method: 'POST',
        headers: { 'content-type': 'text/csv' },
        body,
      }),
    )
  }
  const send = async (path: string, body: object) =>
    answered(
      await fetch(`${base}/api/${path}`, {
        method: 'POST',
        headers: { 'content-type': 'application/json' },
        body: JSON.stringify(body),
      }),
    )
  return { service, base, get, sendTable, send }
}
