import { statSync } from 'node:fs'
import type { Database } from 'better-sqlite3'

/** The database was deleted or replaced while it is open: what is written now would be gone with the process. */
export class StoreGone extends Error {
  override name = 'StoreGone'
  constructor(
    message: string,
    /** what to do */
    readonly remedy: string,
  ) {
    super(message)
  }
}

interface Presence {
  /** null while the files are those that were opened */
  gone(): StoreGone | null
  /** @throws StoreGone */
  assertThere(): void
  /** where a copy of everything was saved since it is gone */
  rescued(file: string | null): void
}

const identityOf = (file: string): string | null => {
  const found = statSync(file, { bigint: true, throwIfNoEntry: false })
  return found ? `${found.dev} ${found.ino}` : null
}

/**
 * Watches whether a path still leads to the files that are open, by device and inode. While it does not, nothing can be
 * written by this connection, whoever tries.
 *
 * @param file path of the database, which was written to already: its write-ahead log is there too
 */
export const watchPresence = (db: Database, file: string): Presence => {
  const files = [file, `${file}-wal`]
  const opened = files.map(identityOf)
  let gone = false
  let copy: string | null = null
  const look = (): StoreGone | null => {
    const now = files.map(identityOf)
    const lost = now.findIndex((identity, index) => identity !== opened[index])
    if (gone !== lost >= 0) {
      gone = lost >= 0
      db.pragma(`query_only = ${gone ? 'ON' : 'OFF'}`)
    }
    if (lost < 0) return null
    const saved = copy
      ? `What it held is saved as ${copy}. Stop the service, see what became of the data folder, put that file there as ` +
        'quiet-iron.db with no quiet-iron.db-wal beside it, and start again.'
      : 'Leave the service running, it still holds everything and tries to save it. Put the file back, or make its ' +
        'folder writable and make room on its disk.'
    return new StoreGone(
      `the database ${files[lost]} was ${now[lost] === null ? 'deleted or moved' : 'replaced'} while the service runs`,
      saved,
    )
  }
  return {
    gone: look,
    assertThere() {
      const error = look()
      if (error) throw error
    },
    rescued(to) {
      copy = to
    },
  }
}
