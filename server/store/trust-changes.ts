import type { Database } from 'better-sqlite3'
import type { DoubtBasis, TrustChange } from '../../core/state.js'

/** What was found about sensors: written once, never changed, never deleted. */
export interface TrustFacts {
  /** all or none */
  addTrustChanges(changes: readonly TrustChange[]): void
  /** those found at `from` (ms) or later, and of each sensor the newest before, in the order in which they were found */
  trustChanges(from: number): TrustChange[]
}

interface Row extends Omit<TrustChange, 'basis'> {
  basis: string | null
}

export const trustTable = (db: Database): TrustFacts => {
  const insert = db.prepare<[string, number, string, number, string, string, string | null]>(
    'INSERT INTO trust_changes (sensor, at, trust, since, reason, remedy, basis) VALUES (?, ?, ?, ?, ?, ?, ?)',
  )
  const since = db.prepare<[number, number], Row>(
    `SELECT sensor, at, trust, since, reason, remedy, basis FROM trust_changes
     WHERE at >= ? OR id IN (SELECT max(id) FROM trust_changes WHERE at < ? GROUP BY sensor) ORDER BY id`,
  )
  const addAll = db.transaction((changes: readonly TrustChange[]) => {
    for (const { sensor, at, trust, since, reason, remedy, basis } of changes)
      insert.run(sensor, at, trust, since, reason, remedy, basis && JSON.stringify(basis))
  })
  return {
    addTrustChanges: changes => addAll.immediate(changes),
    trustChanges: from =>
      since
        .all(from, from)
        .map(row => ({ ...row, basis: row.basis === null ? null : (JSON.parse(row.basis) as DoubtBasis) })),
  }
}
