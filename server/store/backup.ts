import { existsSync, statSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { createChecking } from './checking.js'
import { copyDatabase } from './copy.js'
import { type Damaged, damageTable } from './damage.js'
import { databaseFile, isDamage } from './database.js'
import { applicationId, currentVersion } from './migrations.js'
import { openReadings } from './open-readings.js'
import { StoreError } from './store-error.js'

/** What a database holds. */
interface Holdings {
  sensors: number
  readings: number
  /** ms; null when there is no reading */
  newestReading: number | null
}

interface Backup {
  bytes: number
  /** null for a database of another version of the service, which is copied and checked, but not counted */
  holds: Holdings | null
  /** what the original was found to have lost, which its copy cannot have either */
  damaged: Damaged[]
}

const holdings = (db: Database.Database): { holds: Holdings; damaged: Damaged[] } | null => {
  if (db.pragma('user_version', { simple: true }) !== currentVersion) return null
  const damaged: Damaged[] = []
  const { blocks, tail, newest } = openReadings(db, { damage: damageTable(db, found => damaged.push(found)) })
  const check = createChecking(db, blocks)
  while (check(0));
  const sealed = db.prepare<[], number>('SELECT total(count) FROM reading_blocks').pluck().get() ?? 0
  const sensors = db.prepare<[], number>('SELECT id FROM sensors').pluck().all()
  const last = sensors.reduce((latest, sensor) => Math.max(latest, newest.at(sensor)), -1)
  return {
    holds: { sensors: sensors.length, readings: sealed + tail.size, newestReading: last < 0 ? null : last },
    damaged,
  }
}

/**
 * Copies the database in a folder as it is at one moment, and checks the copy: its structure, its checksums, and that it
 * holds what the original does.
 *
 * @param onProgress is given the part that is copied, 0 to 1
 * @throws StoreError with what, where and what to do; then there is no file at `to`
 */
export const backUp = async (folder: string, to: string, onProgress: (part: number) => void): Promise<Backup> => {
  const file = join(folder, databaseFile)
  if (!existsSync(file) || statSync(file).size === 0)
    throw new StoreError(`There is no database ${file}. Name the service's data folder with --data.`)
  if (existsSync(to))
    throw new StoreError(`${to} is there already and is not overwritten. Choose another name, or move it away.`)
  try {
    const source = new Database(file, { readonly: true, timeout: 5000 })
    try {
      if (source.pragma('application_id', { simple: true }) !== applicationId)
        throw new StoreError(`${file} is no database of this service.`)
      // one moment for counting and copying, whatever the service writes meanwhile
      source.exec('BEGIN; SELECT count(*) FROM sensors')
      const original = holdings(source)
      await copyDatabase(source, to, onProgress, copy => {
        const found = copy.pragma('integrity_check(1)', { simple: true })
        if (found !== 'ok') throw new StoreError(`The copy of ${file} is not sound (${found}) and was deleted.`)
        const copied = holdings(copy)
        if (JSON.stringify(copied?.holds) !== JSON.stringify(original?.holds))
          throw new StoreError(`The copy of ${file} does not hold what the original does and was deleted. Try again.`)
      })
      return { bytes: statSync(to).size, holds: original?.holds ?? null, damaged: original?.damaged ?? [] }
    } finally {
      source.close()
    }
  } catch (error) {
    if (error instanceof StoreError) throw error
    const words = error instanceof Error ? error.message : String(error)
    throw new StoreError(
      isDamage(error)
        ? `The database ${file} is damaged (${words}), so no copy was made. Keep it, and the copies you have.`
        : `The database ${file} cannot be copied to ${to}: ${words}. See that both may be read and written, and that there is room.`,
    )
  }
}
