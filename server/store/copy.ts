import { closeSync, fsyncSync, mkdirSync, openSync, renameSync, rmSync } from 'node:fs'
import { dirname, resolve } from 'node:path'
import Database from 'better-sqlite3'
import { currentVersion } from './migrations.js'

/** pages copied at once; other work goes on in between */
const step = 500

/**
 * Copies an open database into a file of its own that needs no other beside it. It appears under its name when it is
 * whole, and only its owner may read it.
 *
 * @param onProgress is given the part that is done, 0 to 1
 * @param check      looks at the copy before it gets its name; what it throws is passed on, and no copy is left
 */
export const copyDatabase = async (
  db: Database.Database,
  to: string,
  onProgress: (part: number) => void = () => {},
  check: (copy: Database.Database) => void = () => {},
): Promise<void> => {
  const part = `${to}.part`
  const folder = dirname(resolve(to))
  mkdirSync(folder, { recursive: true, mode: 0o700 })
  rmSync(part, { force: true })
  closeSync(openSync(part, 'wx', 0o600))
  try {
    await db.backup(part, {
      progress({ totalPages, remainingPages }) {
        onProgress(totalPages > 0 ? 1 - remainingPages / totalPages : 0)
        return step
      },
    })
    const copy = new Database(part)
    try {
      copy.pragma('journal_mode = DELETE')
      // an early version of the database has no such column
      if (copy.pragma('user_version', { simple: true }) === currentVersion)
        copy.exec('UPDATE identity SET open_since = NULL')
      copy.pragma('query_only = ON')
      check(copy)
    } finally {
      copy.close()
    }
    const written = openSync(part, 'r+')
    fsyncSync(written)
    closeSync(written)
    renameSync(part, to)
    const held = openSync(folder, 'r')
    fsyncSync(held)
    closeSync(held)
  } catch (error) {
    for (const end of ['', '-wal', '-shm', '-journal']) rmSync(`${part}${end}`, { force: true })
    throw error
  }
}
