import type { Database } from 'better-sqlite3'
import type { StoreAnswer } from '../http/schemas/answers.js'
import { withoutChecksum } from './checksum.js'

/**
 * Something stored that cannot be read any more: a block of a table, a group of the journal, or what is noted of a sensor's
 * newest reading. It was set aside, so that everything else works.
 */
export type Damaged = StoreAnswer['damaged'][number]

/** Where damaged bytes lay, and of what. */
export interface DamagedPart extends Pick<Damaged, 'kind' | 'from' | 'to' | 'remade'> {
  /** its number */
  sensor: number | null
  /** null when they are kept with another entry of the same bytes */
  data: Buffer | null
}

export interface Damage {
  /** @returns null when the bytes are not what was written at `key` */
  intact<T>(data: Buffer, key: string, decode: (bytes: Buffer) => T): T | null
  /** keeps the damaged bytes in a table of their own; `remove` takes them from where they lay */
  setAside(parts: readonly DamagedPart[], remove: () => void): void
  /** newest first, those of one sensor and kind that touch each other as one */
  all(): Damaged[]
}

/** @param found is told of each, once */
export const damageTable = (db: Database, found: (damaged: Damaged) => void = () => {}): Damage => {
  const insert = db.prepare<[number, string, number | null, number, number, number, Buffer | null]>(
    `INSERT INTO damaged (found_at, kind, sensor, "from", "to", remade, data) VALUES (?, ?, ?, ?, ?, ?, ?)`,
  )
  const nameOf = db.prepare<[number | null], string>('SELECT name FROM sensors WHERE id = ?').pluck()
  const all = db.prepare<[], Omit<Damaged, 'remade'> & { remade: 0 | 1 }>(
    `SELECT kind, name AS sensor, "from", "to", found_at AS foundAt, remade
     FROM damaged LEFT JOIN sensors ON sensors.id = damaged.sensor ORDER BY sensor, kind, remade, "from"`,
  )
  /** what could not be set aside, for the disk is full or the database is only read, is met again and said once */
  const told = new Set<string>()
  const keep = db.transaction((parts: readonly DamagedPart[], at: number, remove: () => void) => {
    for (const { kind, sensor, from, to, remade, data } of parts)
      insert.run(at, kind, sensor, from, to, remade ? 1 : 0, data)
    remove()
  })
  return {
    intact(data, key, decode) {
      try {
        return decode(withoutChecksum(data, key))
      } catch {
        return null
      }
    },
    setAside(parts, remove) {
      const foundAt = Date.now()
      const within = db.inTransaction
      try {
        keep(parts, foundAt, remove)
      } catch (error) {
        // who only reads is answered without it all the same
        if (within && !db.readonly) throw error
      }
      for (const { data: _, ...part } of parts) {
        const name = JSON.stringify(part)
        if (told.has(name)) continue
        told.add(name)
        found({ ...part, sensor: nameOf.get(part.sensor) ?? null, foundAt })
      }
    },
    all() {
      const joined: Damaged[] = []
      for (const { remade, ...row } of all.all()) {
        const last = joined.at(-1)
        const touches =
          last?.sensor === row.sensor && last.kind === row.kind && last.remade === (remade === 1) && row.from <= last.to
        if (touches)
          Object.assign(last, { to: Math.max(last.to, row.to), foundAt: Math.max(last.foundAt, row.foundAt) })
        else joined.push({ ...row, remade: remade === 1 })
      }
      return joined.sort((a, b) => b.foundAt - a.foundAt)
    },
  }
}

const what: Record<Damaged['kind'], string> = {
  readings: 'readings',
  minutes: 'summaries by the minute',
  'quarter hours': 'summaries by the quarter hour',
  hours: 'summaries by the hour',
  journal: 'readings that had just arrived',
  newest: 'the note of the newest reading',
}

/** A sentence for the log. */
export const damageWords = ({ kind, sensor, from, to, remade }: Damaged): string => {
  const span = `from ${new Date(from).toISOString()} to ${new Date(to).toISOString()}`
  const end = remade
    ? 'They were made anew from what is stored, so nothing is lost.'
    : 'They are left out from now on; a copy of before (npm run backup) still has them.'
  return `Damaged on the disk and set aside: ${what[kind]} of ${sensor ?? 'sensors that cannot be told'}, ${span}. ${end} See that the disk is sound.`
}
