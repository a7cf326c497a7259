import type { Database } from 'better-sqlite3'
import type { DriftLog, FactorChange, Measurement } from '../../core/state.js'

/** What people measured on machines, and what was made of it: written once, never changed, never deleted. */
export interface MeasuredFacts {
  addDriftLog(log: Omit<DriftLog, 'id'>): DriftLog
  /** newest first */
  driftLogs(machine: string): DriftLog[]
  /** all or none */
  addMeasurements(measurements: readonly Omit<Measurement, 'id' | 'setAside'>[]): Measurement[]
  /** in order of time, also those set aside */
  measurements(machine: string): Measurement[]
  /** @returns false when it is set aside already */
  setAside(measurement: number, how: { at: number; by: string; note: string }): boolean
  addFactorChange(change: Omit<FactorChange, 'id'>): FactorChange
  /** newest first */
  factorChanges(machine: string): FactorChange[]
}

interface LogRow {
  id: number
  machine: string
  axis: string
  sign: 1 | -1
  entered_at: number
  by: string
  note: string
  points: string
}
interface MeasurementRow {
  id: number
  machine: string
  axis: string
  position: number
  zero_at: number
  at: number
  value: number
  uncertainty: number
  entered_at: number
  by: string
  note: string
  aside_at: number | null
  aside_by: string | null
  aside_note: string | null
}
interface ChangeRow {
  id: number
  machine: string
  at: number
  by: string
  note: string
  factors: string | null
  shown: string | null
}

const toLog = ({ entered_at, points, ...row }: LogRow): DriftLog => ({
  ...row,
  enteredAt: entered_at,
  points: (JSON.parse(points) as [number, number][]).map(([at, value]) => ({ at, value })),
})

const toMeasurement = (row: MeasurementRow): Measurement => ({
  id: row.id,
  machine: row.machine,
  axis: row.axis,
  position: row.position,
  zeroAt: row.zero_at,
  at: row.at,
  value: row.value,
  uncertainty: row.uncertainty,
  enteredAt: row.entered_at,
  by: row.by,
  note: row.note,
  setAside: row.aside_at === null ? null : { at: row.aside_at, by: row.aside_by ?? '', note: row.aside_note ?? '' },
})

const toChange = ({ factors, shown, ...row }: ChangeRow): FactorChange => ({
  ...row,
  factors: factors === null ? null : (JSON.parse(factors) as Record<string, number>),
  shown: shown === null ? null : (JSON.parse(shown) as FactorChange['shown']),
})

export const measuredTables = (db: Database): MeasuredFacts => {
  const insertLog = db.prepare<[string, string, number, number, string, string, string]>(
    'INSERT INTO drift_logs (machine, axis, sign, entered_at, by, note, points) VALUES (?, ?, ?, ?, ?, ?, ?)',
  )
  const logsOf = db.prepare<[string], LogRow>('SELECT * FROM drift_logs WHERE machine = ? ORDER BY id DESC')
  const insertMeasurement = db.prepare<
    [string, string, number, number, number, number, number, number, string, string]
  >(
    `INSERT INTO measurements (machine, axis, position, zero_at, at, value, uncertainty, entered_at, by, note)
     VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
  )
  const measurementsOf = db.prepare<[string], MeasurementRow>(
    `SELECT m.*, a.at AS aside_at, a.by AS aside_by, a.note AS aside_note
     FROM measurements m LEFT JOIN measurements_set_aside a ON a.measurement = m.id
     WHERE m.machine = ? ORDER BY m.at, m.id`,
  )
  const insertAside = db.prepare<[number, number, string, string]>(
    'INSERT OR IGNORE INTO measurements_set_aside (measurement, at, by, note) VALUES (?, ?, ?, ?)',
  )
  const insertChange = db.prepare<[string, number, string, string, string | null, string | null]>(
    'INSERT INTO factor_changes (machine, at, by, note, factors, shown) VALUES (?, ?, ?, ?, ?, ?)',
  )
  const changesOf = db.prepare<[string], ChangeRow>('SELECT * FROM factor_changes WHERE machine = ? ORDER BY id DESC')
  const json = (value: object | null) => (value === null ? null : JSON.stringify(value))
  const addAll = db.transaction((all: readonly Omit<Measurement, 'id' | 'setAside'>[]): Measurement[] =>
    all.map(m => {
      const added = insertMeasurement.run(
        m.machine,
        m.axis,
        m.position,
        m.zeroAt,
        m.at,
        m.value,
        m.uncertainty,
        m.enteredAt,
        m.by,
        m.note,
      )
      return { ...m, id: Number(added.lastInsertRowid), setAside: null }
    }),
  )
  return {
    addDriftLog(log) {
      const points = JSON.stringify(log.points.map(({ at, value }) => [at, value]))
      const added = insertLog.run(log.machine, log.axis, log.sign, log.enteredAt, log.by, log.note, points)
      return { ...log, id: Number(added.lastInsertRowid) }
    },
    driftLogs: machine => logsOf.all(machine).map(toLog),
    addMeasurements: measurements => addAll.immediate(measurements),
    measurements: machine => measurementsOf.all(machine).map(toMeasurement),
    setAside: (measurement, { at, by, note }) => insertAside.run(measurement, at, by, note).changes > 0,
    addFactorChange(change) {
      const { machine, at, by, note, factors, shown } = change
      const added = insertChange.run(machine, at, by, note, json(factors), json(shown))
      return { ...change, id: Number(added.lastInsertRowid) }
    },
    factorChanges: machine => changesOf.all(machine).map(toChange),
  }
}
