import { started } from '../../serving.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { now, shop } from '../http/fakes.js'

/**
 * The real service with an empty database, and its clock standing at `now` (Monday 2 March 2026, 08:00 UTC).
 *
 * @param pages folder of the built pages
 */
export const serveShop = async (folder = temporaryFolder(), pages = '/nowhere') => {
  const service = await started({ shop, pages, clock: () => now }, { data: folder })
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
