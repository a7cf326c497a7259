import { randomBytes } from 'node:crypto'
import { chmodSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'

/**
 * The token for writes, made once and kept in the data folder, readable by the service's user only.
 *
 * @returns the token, and the file it lies in
 * @throws Error when the file cannot be read or made, or holds no token
 */
export const keptToken = (folder: string): { token: string; file: string } => {
  const file = join(folder, 'write-token')
  mkdirSync(folder, { recursive: true })
  try {
    // never replaces one that is there: pages and programs know it
    writeFileSync(file, `${randomBytes(32).toString('base64url')}\n`, { mode: 0o600, flag: 'wx' })
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error
  }
  chmodSync(file, 0o600)
  const token = readFileSync(file, 'utf8').trim()
  if (!/^\S{16,}$/.test(token))
    throw new Error(`${file} holds no token of 16 characters or more. Delete it, and the service makes a new one.`)
  return { token, file }
}
