import type { Database } from 'better-sqlite3'
import type { FactKind } from './fact-kinds.js'

type Row = Record<string, string | number | null>

interface OldTable {
  table: string
  kind: FactKind
  subject: (row: Row) => string | number | null | undefined
  part?: string
  at?: string
  /** column with the id of the fact that is taken back or ended, and its kind */
  closes?: readonly [column: string, kind: FactKind]
  body: (row: Row) => unknown
}

/** what cannot be read stays as it is: whoever reads the fact names it as damaged */
const json = (text: Row[string] | undefined): unknown => {
  if (typeof text !== 'string') return null
  try {
    return JSON.parse(text)
  } catch {
    return text
  }
}

const oldTables = (db: Database): readonly OldTable[] => {
  const machineOf = db
    .prepare<[Row[string] | undefined], string>('SELECT machine FROM measurements WHERE id = ?')
    .pluck()
  const fileOf = db.prepare<[Row[string] | undefined], string>('SELECT file FROM imports WHERE id = ?').pluck()
  const machine = (row: Row) => row.machine
  const sensor = (row: Row) => row.sensor
  return [
    {
      table: 'verdict_changes',
      kind: 'verdict',
      subject: machine,
      part: 'work_class',
      body: ({ verdict, thermal_error_index: thermalErrorIndex, reason: text, data }) => ({
        verdict,
        thermalErrorIndex,
        reason: json(data) ?? (text === '' ? null : { kind: 'told', text }),
      }),
    },
    {
      table: 'trust_changes',
      kind: 'trust',
      subject: sensor,
      body: ({ trust, since, reason, remedy, basis, data }) => ({
        trust,
        since,
        fault: json(data) ?? (reason === '' ? null : { kind: 'told', reason, remedy }),
        basis: json(basis),
      }),
    },
    { table: 'datums', kind: 'datum', subject: machine, body: row => ({ temperatures: json(row.temperatures) }) },
    {
      table: 'drift_logs',
      kind: 'drift log',
      subject: machine,
      part: 'axis',
      at: 'entered_at',
      body({ sign, points }) {
        const pairs = json(points)
        return { sign, points: Array.isArray(pairs) ? pairs.map(([at, value]) => ({ at, value })) : pairs }
      },
    },
    {
      table: 'measurements',
      kind: 'measurement',
      subject: machine,
      part: 'axis',
      at: 'entered_at',
      body: ({ position, zero_at: zeroAt, at, value, uncertainty }) => ({ position, zeroAt, at, value, uncertainty }),
    },
    {
      table: 'measurements_set_aside',
      kind: 'measurement set aside',
      subject: row => machineOf.get(row.measurement),
      closes: ['measurement', 'measurement'],
      body: () => ({}),
    },
    {
      table: 'factor_changes',
      kind: 'factors',
      subject: machine,
      body: ({ factors, shown }) => ({ factors: json(factors), shown: json(shown) }),
    },
    {
      table: 'identifications',
      kind: 'identification',
      subject: machine,
      part: 'node',
      body: ({ found, accepted }) => ({ ...(json(found) as object), accepted: accepted === 1 }),
    },
    { table: 'imports', kind: 'import', subject: row => row.file, body: () => ({}) },
    {
      table: 'imports_ended',
      kind: 'import ended',
      subject: row => fileOf.get(row.import),
      closes: ['import', 'import'],
      body: ({
        added,
        already_there: alreadyThere,
        rows_refused: rowsRefused,
        values_refused: valuesRefused,
        problem,
      }) => ({
        added,
        alreadyThere,
        rowsRefused,
        valuesRefused,
        problem,
      }),
    },
    {
      table: 'offset_changes',
      kind: 'offset',
      subject: sensor,
      closes: ['takes_back', 'offset'],
      body: ({ old_offset: oldOffset, new_offset: newOffset, found }) => ({ oldOffset, newOffset, found: json(found) }),
    },
  ]
}

/**
 * Moves the facts of a database of before, which had a table for each kind, into the one table. Their order stays; what
 * takes another back or ends it still does. Call it within the migration's transaction.
 */
export const moveOldFacts = (db: Database): void => {
  const insert = db.prepare(
    'INSERT INTO facts (kind, subject, part, at, by, note, body, closes) VALUES (?, ?, ?, ?, ?, ?, ?, ?)',
  )
  /** new ids by kind and old id */
  const moved = new Map<string, number>()
  for (const { table, kind, subject, part, at = 'at', closes, body } of oldTables(db)) {
    for (const row of db.prepare<[], Row>(`SELECT rowid AS id, * FROM ${table} ORDER BY rowid`).all()) {
      const closed = closes && moved.get(`${closes[1]} ${row[closes[0]]}`)
      const text = JSON.stringify(body(row))
      const added = insert.run(
        kind,
        subject(row) ?? '',
        part ? row[part] : '',
        row[at],
        row.by ?? '',
        row.note ?? '',
        text,
        closed ?? null,
      )
      moved.set(`${kind} ${row.id}`, Number(added.lastInsertRowid))
    }
  }
  for (const { table } of oldTables(db)) db.exec(`DROP TABLE ${table}`)
}
