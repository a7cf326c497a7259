import type { Database } from 'better-sqlite3'
import type { Doubt, DoubtBasis, TrustChange } from '../../core/state.js'

/** What was found about sensors: written once, never changed, never deleted. */
export interface TrustFacts {
  /** all or none */
  addTrustChanges(changes: readonly TrustChange[]): void
  /** those found at `from` (ms) or later, and of each sensor the newest before, in the order in which they were found */
  trustChanges(from: number): TrustChange[]
}

interface Row extends Omit<TrustChange, 'basis' | 'doubt'> {
  basis: string | null
  reason: string
  remedy: string
  data: string | null
}

/** a fact of before doubts were data has sentences only */
const doubtOf = ({ data, reason, remedy }: Row): Doubt | null => {
  if (data !== null) return JSON.parse(data) as Doubt
  return reason === '' ? null : { kind: 'told', reason, remedy }
}

export const trustTable = (db: Database): TrustFacts => {
  const insert = db.prepare<[string, number, string, number, string | null, string | null]>(
    "INSERT INTO trust_changes (sensor, at, trust, since, reason, remedy, basis, data) VALUES (?, ?, ?, ?, '', '', ?, ?)",
  )
  const since = db.prepare<[number, number], Row>(
    `SELECT sensor, at, trust, since, reason, remedy, basis, data FROM trust_changes
     WHERE at >= ? OR id IN (SELECT max(id) FROM trust_changes WHERE at < ? GROUP BY sensor) ORDER BY id`,
  )
  const addAll = db.transaction((changes: readonly TrustChange[]) => {
    for (const { sensor, at, trust, since, doubt, basis } of changes)
      insert.run(sensor, at, trust, since, basis && JSON.stringify(basis), doubt && JSON.stringify(doubt))
  })
  return {
    addTrustChanges: changes => addAll.immediate(changes),
    trustChanges: from =>
      since.all(from, from).map(row => {
        const { sensor, at, trust, since } = row
        const basis = row.basis === null ? null : (JSON.parse(row.basis) as DoubtBasis)
        return { sensor, at, trust, since, doubt: doubtOf(row), basis }
      }),
  }
}
