import type { Database } from 'better-sqlite3'

/** A recording that somebody had imported. */
export interface ImportFact {
  id: number
  /** ms since 1970, when it began */
  at: number
  by: string
  note: string
  /** name of the file */
  file: string
  /** null while it runs, and for ever when the service ended before it */
  ended: ImportEnd | null
}

export interface ImportEnd {
  /** ms since 1970 */
  at: number
  added: number
  alreadyThere: number
  rowsRefused: number
  valuesRefused: number
  /** why it stopped before its end; empty when it did not */
  problem: string
}

/** Imports of recordings: begun and ended, each written once, never changed, never deleted. */
export interface ImportFacts {
  /** @returns its id */
  beginImport(begun: Omit<ImportFact, 'id' | 'ended'>): number
  endImport(id: number, end: ImportEnd): void
  /** newest first, so many at most */
  imports(most: number): ImportFact[]
}

interface Row {
  id: number
  at: number
  by: string
  note: string
  file: string
  endedAt: number | null
  added: number
  alreadyThere: number
  rowsRefused: number
  valuesRefused: number
  problem: string
}

const toFact = ({ id, at, by, note, file, endedAt, ...end }: Row): ImportFact => ({
  id,
  at,
  by,
  note,
  file,
  ended: endedAt === null ? null : { at: endedAt, ...end },
})

export const importTables = (db: Database): ImportFacts => {
  const begin = db.prepare<[number, string, string, string]>(
    'INSERT INTO imports (at, by, note, file) VALUES (?, ?, ?, ?)',
  )
  const end = db.prepare<[number, number, number, number, number, number, string]>(
    `INSERT INTO imports_ended (import, at, added, already_there, rows_refused, values_refused, problem)
     VALUES (?, ?, ?, ?, ?, ?, ?)`,
  )
  const newest = db.prepare<[number], Row>(
    `SELECT id, imports.at AS at, by, note, file, imports_ended.at AS endedAt, added, already_there AS alreadyThere,
     rows_refused AS rowsRefused, values_refused AS valuesRefused, problem
     FROM imports LEFT JOIN imports_ended ON import = id ORDER BY id DESC LIMIT ?`,
  )
  return {
    beginImport: ({ at, by, note, file }) => Number(begin.run(at, by, note, file).lastInsertRowid),
    endImport(id, { at, added, alreadyThere, rowsRefused, valuesRefused, problem }) {
      end.run(id, at, added, alreadyThere, rowsRefused, valuesRefused, problem)
    },
    imports: most => newest.all(most).map(toFact),
  }
}
