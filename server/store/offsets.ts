import type { Database } from 'better-sqlite3'
import type { OffsetChange } from '../../core/state.js'

/** Offsets of sensors that people accepted or took back: written once, never changed, never deleted. */
export interface OffsetFacts {
  /** all or none */
  addOffsetChanges(changes: readonly Omit<OffsetChange, 'id'>[]): OffsetChange[]
  /** of all sensors, newest first */
  offsetChanges(): OffsetChange[]
}

interface Row {
  id: number
  sensor: string
  at: number
  by: string
  note: string
  old_offset: number
  new_offset: number
  found: string | null
  takes_back: number | null
}

const toChange = ({ old_offset, new_offset, found, takes_back, ...row }: Row): OffsetChange => ({
  ...row,
  oldOffset: old_offset,
  newOffset: new_offset,
  found: found === null ? null : (JSON.parse(found) as OffsetChange['found']),
  takesBack: takes_back,
})

export const offsetTable = (db: Database): OffsetFacts => {
  const insert = db.prepare<[string, number, string, string, number, number, string | null, number | null]>(
    `INSERT INTO offset_changes (sensor, at, by, note, old_offset, new_offset, found, takes_back)
     VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
  )
  const all = db.prepare<[], Row>('SELECT * FROM offset_changes ORDER BY id DESC')
  const addAll = db.transaction((changes: readonly Omit<OffsetChange, 'id'>[]): OffsetChange[] =>
    changes.map(change => {
      const { sensor, at, by, note, oldOffset, newOffset, found, takesBack } = change
      const written = found === null ? null : JSON.stringify(found)
      const added = insert.run(sensor, at, by, note, oldOffset, newOffset, written, takesBack)
      return { ...change, id: Number(added.lastInsertRowid) }
    }),
  )
  return {
    addOffsetChanges: changes => addAll.immediate(changes),
    offsetChanges: () => all.all().map(toChange),
  }
}
