import { chmodSync, closeSync, existsSync, mkdirSync, openSync, statSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { assertNoneExpected, noteExpected } from './expected.js'
import { applicationId, currentVersion, firstVersion, migrate } from './migrations.js'
import { StoreError } from './store-error.js'

export { StoreError } from './store-error.js'

/** in the service's data folder */
export const databaseFile = 'quiet-iron.db'

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

/** Refuses what is not ours, what a version wrote that is newer, or older than any that was ever given away, and what is damaged. */
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
  if (version < firstVersion)
    throw new StoreError(
      `The database ${file} was written while the service was developed (its version is ${version}, this program knows ` +
        `${firstVersion} and later ones). It was left as it is. Choose another data folder; readings can be exported by ` +
        'the program that wrote it, and imported here.',
    )
  if (statSync(file).size <= checkedWhole) {
    const found = db.pragma('quick_check(1)', { simple: true }) as string
    if (found !== 'ok') throw damaged(file, found.replaceAll('\n', ' '))
    return
  }
  for (const table of ['journal', 'reading_blocks', 'minute_blocks', 'quarter_hour_blocks'])
    for (const order of ['ASC', 'DESC']) db.prepare(`SELECT * FROM ${table} ORDER BY 1 ${order} LIMIT 1000`).all()
}

/** Makes the file if need be. What SQLite puts beside it gets the same rights. */
const ownersOnly = (file: string): void => {
  closeSync(openSync(file, 'a', 0o600))
  try {
    for (const each of [file, `${file}-wal`, `${file}-shm`]) if (existsSync(each)) chmodSync(each, 0o600)
  } catch (error) {
    // a file of another user that may be written all the same
    if ((error as NodeJS.ErrnoException).code !== 'EPERM') throw error
  }
}

/**
 * Notes in the database that it is open, until it is closed. A copy of the file alone, made meanwhile, lacks what is in
 * the write-ahead log, and is known by this note.
 *
 * @param alone the file had no write-ahead log beside it
 * @returns when it was opened, where such a copy was found; else null
 */
const noteOpen = (db: Database.Database, alone: boolean): string | null => {
  const before = db.prepare<[], number | null>('SELECT open_since FROM identity').pluck().get()
  db.prepare<[number]>('UPDATE identity SET open_since = ?').run(Date.now())
  db.pragma('wal_checkpoint(TRUNCATE)')
  return alone && before ? new Date(before).toISOString() : null
}

/**
 * Only one service may use a folder. The lock is an exclusive transaction on a database of its own: the system lets
 * go of it when the process ends, however it ends, so that no stale lock is ever left.
 */
const lockFolder = (folder: string): Database.Database => {
  const file = join(folder, 'quiet-iron.lock')
  ownersOnly(file)
  const lock = new Database(file, { timeout: 0 })
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

const openFile = (file: string, say: (text: string) => void): Database.Database => {
  const alone = !existsSync(`${file}-wal`)
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
  ownersOnly(file)
  const db = new Database(file, { timeout: 1000 })
  try {
    db.pragma('journal_mode = WAL')
    db.pragma('synchronous = FULL')
    // pages; the commit that reaches it moves as many into the database, some ms of work
    db.pragma('wal_autocheckpoint = 1000')
    db.pragma('journal_size_limit = 67108864')
    db.pragma('cache_size = -32000')
    migrate(db)
    const lacksSince = noteOpen(db, alone)
    if (lacksSince)
      say(
        `The database ${file} was copied without its companion quiet-iron.db-wal while the service ran (which had started at ` +
          `${lacksSince}), or that file was deleted: the newest readings and entries are missing. If the original is still ` +
          'there, stop the service and copy both, or use a copy made by npm run backup.',
      )
    return db
  } catch (error) {
    db.close()
    throw isDamage(error) ? damaged(file, messageOf(error)) : error
  }
}

const closeWhole = (db: Database.Database): void => {
  try {
    db.exec('UPDATE identity SET open_since = NULL')
  } catch {
    // the disk is full, or the file gone: it counts as not closed
  }
  db.close()
}

interface OpenDatabase {
  db: Database.Database
  /** the database's path, for messages */
  file: string
  close(): void
}

/**
 * Opens or creates `folder`/quiet-iron.db.
 *
 * @param say is told what a person should know of it
 * @throws StoreError when the folder cannot be made or is in use, or the database is damaged, foreign or newer
 */
export const openDatabase = (folder: string, say: (text: string) => void): OpenDatabase => {
  const file = join(folder, databaseFile)
  let lock: Database.Database | undefined
  try {
    mkdirSync(folder, { recursive: true, mode: 0o700 })
    lock = lockFolder(folder)
    if (!existsSync(file) || statSync(file).size === 0) assertNoneExpected(folder, file)
    const db = openFile(file, say)
    const changed = noteExpected(folder, db.prepare<[], string>('SELECT service FROM identity').pluck().get() ?? '')
    if (changed) say(changed)
    const held = lock
    return {
      db,
      file,
      close() {
        if (db.open) closeWhole(db)
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
