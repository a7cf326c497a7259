import { createHash } from 'node:crypto'
import { realpathSync } from 'node:fs'
import { hostname } from 'node:os'
import type { SqliteStore } from '../store/sqlite.js'

const digest = (...parts: string[]): string =>
  createHash('sha256').update(JSON.stringify(parts)).digest('hex').slice(0, 12)

/**
 * The name by which the broker knows the service again. It belongs to a database in its folder on its computer: a copy
 * elsewhere gets another one, else the broker would give it the session, and with it the readings, of the original.
 *
 * @param folder the data folder
 * @returns 23 characters, which every broker takes (MQTT 3.1.1, 3.1.3.1)
 */
export const clientIdFor = (
  { serviceId, homeOrHere }: Pick<SqliteStore, 'serviceId' | 'homeOrHere'>,
  folder: string,
  host = hostname(),
): { clientId: string; isCopy: boolean } => {
  const here = digest(host, realpathSync(folder))
  const isCopy = homeOrHere(here) !== here
  return { clientId: `quiet-iron-${isCopy ? digest(serviceId, here) : serviceId}`, isCopy }
}
