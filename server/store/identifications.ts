import type { Database } from 'better-sqlite3'
import type { Identification } from '../../core/settling/index.js'

/** Time constants as they were identified: written once, never changed, never deleted. */
export interface IdentificationFacts {
  addIdentification(found: Omit<Identification, 'id'>): Identification
  /** newest first */
  identifications(machine: string): Identification[]
  /** newest of each node */
  lastIdentifications(machine: string): Identification[]
}

interface Row {
  id: number
  machine: string
  node: string
  at: number
  accepted: 0 | 1
  found: string
}

const toIdentification = ({ found, accepted, ...row }: Row): Identification => ({
  ...(JSON.parse(found) as Omit<Identification, keyof Row>),
  ...row,
  accepted: accepted === 1,
})

export const identificationTable = (db: Database): IdentificationFacts => {
  const insert = db.prepare<[string, string, number, number, string]>(
    'INSERT INTO identifications (machine, node, at, accepted, found) VALUES (?, ?, ?, ?, ?)',
  )
  const all = db.prepare<[string], Row>('SELECT * FROM identifications WHERE machine = ? ORDER BY id DESC')
  const newest = db.prepare<[string], Row>(
    `SELECT * FROM identifications WHERE id IN
     (SELECT max(id) FROM identifications WHERE machine = ? GROUP BY node) ORDER BY id`,
  )
  return {
    addIdentification(identification) {
      const { machine, node, at, accepted, ...found } = identification
      const added = insert.run(machine, node, at, accepted ? 1 : 0, JSON.stringify(found))
      return { ...identification, id: Number(added.lastInsertRowid) }
    },
    identifications: machine => all.all(machine).map(toIdentification),
    lastIdentifications: machine => newest.all(machine).map(toIdentification),
  }
}
