import { codeOf, isDamage } from './database.js'
import { StoreGone } from './presence.js'

/** What keeps the database from its work, in words. */
interface StoreTrouble {
  what: string
  remedy: string
}

/** @returns null for what is not the database's trouble: a mistake of the program */
export const storeTrouble = (error: unknown): StoreTrouble | null => {
  if (error instanceof StoreGone) return { what: error.message, remedy: error.remedy }
  const code = codeOf(error)
  if (isDamage(error))
    return {
      what: 'the database is damaged',
      remedy:
        'Stop the service, set the data folder aside (keep it, much can be read from it still), put back a copy of it or ' +
        'begin with an empty one, and start again.',
    }
  if (code === 'SQLITE_FULL' || code === 'ENOSPC')
    return { what: 'the disk is full', remedy: 'Make room on the disk that holds the data folder.' }
  if (/^SQLITE_(BUSY|LOCKED)/.test(code))
    return {
      what: 'another program holds the database',
      remedy: 'End the program that has it open (a backup, a database browser).',
    }
  if (/^SQLITE_(IOERR|READONLY|CANTOPEN|PERM|AUTH|NOLFS|PROTOCOL)/.test(code))
    return {
      what: `the disk does not do what is asked of it (${code})`,
      remedy: 'Check that the disk has room, is sound, and that the service may write to the data folder.',
    }
  return null
}
