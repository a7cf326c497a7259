import type { Database } from 'better-sqlite3'
import type { Datum, Reason, Verdict, VerdictChange } from '../../core/state.js'

/** What was shown or done: written once, never changed, never deleted. */
export interface Facts {
  recordVerdict(change: VerdictChange): void
  verdicts(machine: string, from: number, to: number): VerdictChange[]
  lastVerdicts(): VerdictChange[]
  addDatum(datum: Omit<Datum, 'id'>): Datum
  datums(machine: string): Datum[]
}

interface VerdictRow {
  machine: string
  work_class: string
  at: number
  verdict: Verdict
  thermal_error_index: number | null
  reason: string
  data: string | null
}
interface DatumRow {
  id: number
  machine: string
  at: number
  by: string
  note: string
  temperatures: string
}

/** a fact of before reasons were data has a sentence only */
const reasonOf = ({ data, reason }: VerdictRow): Reason | null => {
  if (data !== null) return JSON.parse(data) as Reason
  return reason === '' ? null : { kind: 'told', text: reason }
}

const toChange = (row: VerdictRow): VerdictChange => ({
  machine: row.machine,
  workClass: row.work_class,
  at: row.at,
  verdict: row.verdict,
  thermalErrorIndex: row.thermal_error_index,
  reason: reasonOf(row),
})

const toDatum = (row: DatumRow): Datum => ({
  ...row,
  temperatures: JSON.parse(row.temperatures) as Record<string, number>,
})

export const factTables = (db: Database): Facts => {
  const insertVerdict = db.prepare<[string, string, number, string, number | null, string | null]>(
    `INSERT INTO verdict_changes (machine, work_class, at, verdict, thermal_error_index, reason, data)
     VALUES (?, ?, ?, ?, ?, '', ?)`,
  )
  const columns = 'machine, work_class, at, verdict, thermal_error_index, reason, data'
  const verdictRange = db.prepare<[string, number, number], VerdictRow>(
    `SELECT ${columns} FROM verdict_changes WHERE machine = ? AND at >= ? AND at < ? ORDER BY at, id`,
  )
  const classes = db.prepare<[], { machine: string; work_class: string }>(
    'SELECT DISTINCT machine, work_class FROM verdict_changes',
  )
  const newest = db.prepare<[string, string], VerdictRow>(
    `SELECT ${columns} FROM verdict_changes WHERE machine = ? AND work_class = ? ORDER BY at DESC, id DESC LIMIT 1`,
  )
  const insertDatum = db.prepare<[string, number, string, string, string]>(
    'INSERT INTO datums (machine, at, by, note, temperatures) VALUES (?, ?, ?, ?, ?)',
  )
  const datumsOf = db.prepare<[string], DatumRow>(
    'SELECT id, machine, at, by, note, temperatures FROM datums WHERE machine = ? ORDER BY at, id',
  )
  return {
    recordVerdict({ machine, workClass, at, verdict, thermalErrorIndex, reason }) {
      const index = thermalErrorIndex !== null && Number.isFinite(thermalErrorIndex) ? thermalErrorIndex : null
      insertVerdict.run(machine, workClass, at, verdict, index, reason && JSON.stringify(reason))
    },
    verdicts: (machine, from, to) => verdictRange.all(machine, from, to).map(toChange),
    lastVerdicts: () =>
      classes.all().flatMap(({ machine, work_class }) => {
        const row = newest.get(machine, work_class)
        return row ? [toChange(row)] : []
      }),
    addDatum({ machine, at, by, note, temperatures }) {
      const id = Number(insertDatum.run(machine, at, by, note, JSON.stringify(temperatures)).lastInsertRowid)
      return { id, machine, at, by, note, temperatures }
    },
    datums: machine => datumsOf.all(machine).map(toDatum),
  }
}
