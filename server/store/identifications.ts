import type { Database } from 'better-sqlite3'
import type { Identification } from '../../core/settling/index.js'

/** Time constants as they were identified: written once, never changed, never deleted. */
export interface IdentificationFacts {
  addIdentification(found: Omit<Identification, 'id'>): Identification
  /** of a machine's nodes, made at `from` (ms) or later, newest first */
  identifications(machine: string, from: number): Identification[]
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
  const since = db.prepare<[string, number], Row>(
    'SELECT * FROM identifications WHERE machine = ? AND at >= ? ORDER BY id DESC',
  )
  return {
    addIdentification(identification) {
      const { machine, node, at, accepted, ...found } = identification
      const added = insert.run(machine, node, at, accepted ? 1 : 0, JSON.stringify(found))
      return { ...identification, id: Number(added.lastInsertRowid) }
    },
    identifications: (machine, from) => since.all(machine, from).map(toIdentification),
  }
}
