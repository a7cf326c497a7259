import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { StoreError } from './store-error.js'

/** lies beside the database and tells which one belongs here */
const name = 'quiet-iron.id'

const markOf = (folder: string): { service: string; since: string } | null => {
  try {
    const [service = '', since = ''] = readFileSync(join(folder, name), 'utf8').split('\n')
    return { service, since }
  } catch {
    return null
  }
}

/** @throws StoreError for a folder in which a database was before; call it where none is, or an empty file */
export const assertNoneExpected = (folder: string, file: string): void => {
  const mark = markOf(folder)
  if (!mark) return
  const others = readdirSync(folder).filter(other => other.endsWith('.db') && join(folder, other) !== file)
  const seen = others.length > 0 ? ` In this folder there is: ${others.join(', ')}.` : ''
  throw new StoreError(
    `The database ${file} is missing or empty, though one was here since ${mark.since}. Nothing was changed. See whether ` +
      `the disk is mounted and who moved the file.${seen} Put it back, or a backup, under that name and start again. ` +
      `To begin with an empty one instead, delete ${join(folder, name)}.`,
  )
}

/**
 * Notes which database belongs into a folder.
 *
 * @param service the database's own name
 * @returns what is to be said when it is another one than before; else null
 */
export const noteExpected = (folder: string, service: string): string | null => {
  const mark = markOf(folder)
  if (mark?.service === service) return null
  try {
    writeFileSync(join(folder, name), `${service}\n${new Date().toISOString()}\n`, { mode: 0o600 })
  } catch {
    // a full disk is said by what stores readings; the next start notes it
  }
  return mark
    ? `The database in ${folder} is another one than at the last start (of ${mark.since}): another shop's, or one that was begun anew.`
    : null
}
