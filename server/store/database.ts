import { existsSync, mkdirSync, statSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { applicationId, currentVersion, migrate } from './migrations.js'

/** The database cannot be used; the message says what, where and what to do. Nothing was changed on disk. */
export class StoreError extends Error {
  override name = 'StoreError'
}

/** bytes; up to this size every page is checked at the start (about a fifth of a second), beyond it samples are */
const checkedWhole = 64 * 1024 * 1024

const messageOf = (error: unknown): string => (error instanceof Error ? error.message : String(error))

export const codeOf = (error: unknown): string =>
  typeof error === 'object' && error !== null && 'code' in error ? String(error.code) : ''

/** True for SQLite's ways of saying that the file's content is not what it wrote. */
export const isDamage = (error: unknown): boolean => /^SQLITE_(CORRUPT|NOTADB)/.test(codeOf(error))

export const damaged = (file: string, detail: string): StoreError =>
  new StoreError(
    `The database ${file} is damaged (${detail}). It was left as it is. ` +
      'Keep it: set the folder aside, then put back a copy of it, or begin with an empty one.',
  )

/** Refuses what is not ours, what a newer version wrote and what is damaged. */
const inspect = (db: Database.Database, file: string): void => {
  const version = db.pragma('user_version', { simple: true }) as number
  const application = db.pragma('application_id', { simple: true }) as number
  const tables = db.prepare<[], number>("SELECT count(*) FROM sqlite_schema WHERE type = 'table'").pluck().get() ?? 0
  if (application !== applicationId && (tables > 0 || version > 0))
    throw new StoreError(
      `${file} is a database of some other program. It was left as it is. Choose another data folder.`,
    )
  if (version > currentVersion)
    throw new StoreError(
      `The database ${file} was written by a newer version of the service (its version is ${version}, this program ` +
        `knows ${currentVersion}). It was left as it is. Start the newer version, or choose another data folder.`,
    )
  if (tables === 0) return
  if (statSync(file).size <= checkedWhole) {
    const found = db.pragma('quick_check(1)', { simple: true }) as string
    if (found !== 'ok') throw damaged(file, found.replaceAll('\n', ' '))
    return
  }
  const held = db.prepare<[], string>("SELECT name FROM sqlite_schema WHERE type = 'table'").pluck().all()
  for (const table of ['readings', 'minutes', 'quarter_hours'])
    db.prepare(`SELECT s.id, (SELECT min(at) FROM ${table} WHERE sensor = s.id),
      (SELECT max(at) FROM ${table} WHERE sensor = s.id) FROM sensors s`).all()
  for (const table of ['journal', 'reading_blocks', 'minute_blocks', 'quarter_hour_blocks'])
    if (held.includes(table))
      for (const order of ['ASC', 'DESC']) db.prepare(`SELECT * FROM ${table} ORDER BY 1 ${order} LIMIT 1000`).all()
}

/**
 * Only one service may use a folder. The lock is an exclusive transaction on a database of its own: the system lets
 * go of it when the process ends, however it ends, so that no stale lock is ever left.
 */
const lockFolder = (folder: string): Database.Database => {
  const lock = new Database(join(folder, 'quiet-iron.lock'), { timeout: 0 })
  try {
    lock.pragma('journal_mode = MEMORY')
    lock.exec('BEGIN EXCLUSIVE')
    return lock
  } catch (error) {
    lock.close()
    if (!codeOf(error).startsWith('SQLITE_BUSY')) throw error
    throw new StoreError(
      `The data folder ${folder} is in use by another running service. Stop that one, or choose another data folder.`,
    )
  }
}

const openFile = (file: string): Database.Database => {
  if (existsSync(file) && statSync(file).size > 0) {
    // a connection that may write would, when it closes, move the write-ahead log into a file we do not want to touch
    const reader = new Database(file, { readonly: true, timeout: 1000 })
    try {
      inspect(reader, file)
    } catch (error) {
      throw isDamage(error) ? damaged(file, messageOf(error)) : error
    } finally {
      reader.close()
    }
  }
  const db = new Database(file, { timeout: 1000 })
  try {
    db.pragma('journal_mode = WAL')
    db.pragma('synchronous = FULL')
    // pages; the commit that reaches it moves as many into the database, some ms of work
    db.pragma('wal_autocheckpoint = 1000')
    db.pragma('journal_size_limit = 67108864')
    db.pragma('cache_size = -32000')
    migrate(db)
    return db
  } catch (error) {
    db.close()
    throw isDamage(error) ? damaged(file, messageOf(error)) : error
  }
}

/** in the service's data folder */
export const databaseFile = 'quiet-iron.db'

export interface OpenDatabase {
  db: Database.Database
  /** the database's path, for messages */
  file: string
  close(): void
}

/**
 * Opens or creates `folder`/quiet-iron.db.
 *
 * @throws StoreError when the folder cannot be made or is in use, or the database is damaged, foreign or newer
 */
export const openDatabase = (folder: string): OpenDatabase => {
  const file = join(folder, databaseFile)
  let lock: Database.Database | undefined
  try {
    mkdirSync(folder, { recursive: true })
    lock = lockFolder(folder)
    const db = openFile(file)
    const held = lock
    return {
      db,
      file,
      close() {
        if (db.open) db.close()
        if (held.open) held.close()
      },
    }
  } catch (error) {
    lock?.close()
    if (error instanceof StoreError) throw error
    throw new StoreError(
      `The database ${file} cannot be opened: ${messageOf(error)}. ` +
        'Check that the folder can be written and that the disk has room, or choose another data folder.',
    )
  }
}
