import type { Database } from 'better-sqlite3'
import type { Inspection, InspectionEntry } from '../../core/inspection/index.js'
import type { FormerIds } from '../shop/formerly.js'
import type { Answer } from './store.js'

/** Which inspections are asked for: all of these together. */
export interface InspectionSpan {
  machine?: string
  part?: string
  feature?: string
  /** id of the import they came with */
  import?: number
  /** ms; the cut began at `from` or later, and before `to` */
  from?: number
  to?: number
}

/** Measured parts, as they were entered: written once, never changed. An import that was taken back is not told of here. */
export interface Inspections {
  /**
   * All in one commit; some hundred are some ms.
   *
   * @param imported id of the import they come with
   */
  add(imported: number, entries: readonly InspectionEntry[]): Answer<void>
  /** in order of their cut, some hundred together */
  of(asked?: InspectionSpan): Iterable<readonly Inspection[]> | AsyncIterable<readonly Inspection[]>
}

interface Row {
  id: number
  import: number
  machine: string
  part: string
  feature: string
  at: number
  body: string
}

/** rows read together */
const together = 500

/** what a cell that says nothing is; such are not written, for most say little */
const unsaid = new Map<string, unknown>(
  Object.entries({
    serial: '',
    axis: null,
    longer: 'larger',
    cut: 'one side',
    zeroed: 'datum',
    lower: null,
    upper: null,
    temperature: null,
    temperatureUncertainty: null,
    gauge: '',
    material: '',
    tool: '',
    toolCount: null,
    sequence: null,
    lot: '',
    setup: '',
    who: '',
    note: '',
  } satisfies Partial<InspectionEntry>),
)

/** Field by field, so that all have one shape: a hundred thousand of them are read at once. */
const inspectionIn = ({ id, import: imported, machine, part, feature, at, body }: Row): Inspection => {
  const said = JSON.parse(body) as Partial<Inspection> & Pick<Inspection, 'nominal' | 'measured' | 'to'>
  return {
    id,
    import: imported,
    machine,
    part,
    feature,
    from: at,
    to: said.to,
    nominal: said.nominal,
    measured: said.measured,
    serial: said.serial ?? '',
    axis: said.axis ?? null,
    longer: said.longer ?? 'larger',
    cut: said.cut ?? 'one side',
    zeroed: said.zeroed ?? 'datum',
    lower: said.lower ?? null,
    upper: said.upper ?? null,
    temperature: said.temperature ?? null,
    temperatureUncertainty: said.temperatureUncertainty ?? null,
    gauge: said.gauge ?? '',
    material: said.material ?? '',
    tool: said.tool ?? '',
    toolCount: said.toolCount ?? null,
    sequence: said.sequence ?? null,
    lot: said.lot ?? '',
    setup: said.setup ?? '',
    who: said.who ?? '',
    note: said.note ?? '',
    other: said.other ?? {},
  }
}

/** @param onDamage told once of each row that cannot be read; it is left out, and stays in the database as it is */
export const inspectionTable = (
  db: Database,
  { machines }: Pick<FormerIds, 'machines'>,
  onDamage: (what: string) => void,
): Inspections => {
  const insert = db.prepare(
    'INSERT INTO inspections (import, machine, part, feature, at, body) VALUES (?, ?, ?, ?, ?, ?)',
  )
  const damaged = new Set<number>()
  const read = (row: Row): Inspection[] => {
    try {
      return [inspectionIn({ ...row, machine: machines.get(row.machine) ?? row.machine })]
    } catch {
      if (!damaged.has(row.id))
        onDamage(`inspection ${row.id} (${new Date(row.at).toISOString()}) cannot be read and is left out`)
      damaged.add(row.id)
      return []
    }
  }
  const write = db.transaction((imported: number, entries: readonly InspectionEntry[]) => {
    for (const { machine, part, feature, from, other, ...said } of entries) {
      const body = Object.fromEntries(Object.entries(said).filter(([name, value]) => unsaid.get(name) !== value))
      insert.run(
        imported,
        machine,
        part,
        feature,
        from,
        JSON.stringify(Object.keys(other).length > 0 ? { ...body, other } : body),
      )
    }
  })
  return {
    add: (imported, entries) => write.immediate(imported, entries),
    *of({ machine, from = Number.NEGATIVE_INFINITY, to = Number.POSITIVE_INFINITY, ...asked } = {}) {
      const ids = machine && [machine, ...[...machines].filter(([, now]) => now === machine).map(([before]) => before)]
      const wanted = Object.entries(asked).filter(([, value]) => value !== undefined)
      const next = db.prepare<unknown[], Row>(
        `SELECT id, import, machine, part, feature, at, body FROM inspections
         WHERE (at, id) > (?, ?) AND at < ?
         ${ids ? `AND machine IN (${ids.map(() => '?').join(', ')})` : ''}
         ${wanted.map(([name]) => `AND ${name} = ?`).join(' ')}
         ORDER BY at, id LIMIT ${together}`,
      )
      const values = [to, ...(ids || []), ...wanted.map(([, value]) => value)]
      let [at, id] = [from, 0]
      for (;;) {
        const rows = next.all(at, id, ...values)
        const last = rows.at(-1)
        if (!last) return
        yield rows.flatMap(read)
        ;[at, id] = [last.at, last.id]
      }
    },
  }
}
