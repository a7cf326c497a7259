import type { Database } from 'better-sqlite3'
import { Turn } from '../turns.js'
import { type Fact, type FactEntry, type FactKind, factKinds } from './fact-kinds.js'

export interface FactSpan {
  /** of these machines or sensors only */
  subject?: string | readonly string[]
  /** ms; recorded at `from` or later, and before `to` */
  from?: number
  to?: number
}

/**
 * What was shown, found or done: written once, never changed, never deleted; taken back only by another fact. All come in
 * the order in which they were recorded, which a clock that was set cannot change.
 */
export interface Facts {
  /**
   * All or none.
   *
   * @throws ClosedAlready when a fact is to be taken back or ended a second time
   * @throws ZodError when an entry is not what its kind says
   */
  record<Kind extends FactKind>(kind: Kind, entries: readonly FactEntry<Kind>[]): Promise<Fact<Kind>[]>
  of<Kind extends FactKind>(kind: Kind, span?: FactSpan): Promise<Fact<Kind>[]>
  /** the newest of each subject and part of it, and all those recorded at `from` (ms) or later, if given */
  newest<Kind extends FactKind>(kind: Kind, from?: number): Promise<Fact<Kind>[]>
  /** id of the newest one of these kinds; 0: there is none. What stands on them stands for as long as it is the same */
  last(kinds: readonly FactKind[]): number
}

/** A fact was taken back or ended already. */
export class ClosedAlready extends Error {
  override name = 'ClosedAlready'
}

interface Row {
  id: number
  subject: string
  part: string
  at: number
  by: string
  note: string
  body: string
  closes: number | null
}

type Fields = Record<string, unknown>

/** how a kind's fields lie in the table */
interface Columns {
  schema: (typeof factKinds)[FactKind]['schema']
  subject: string
  part?: string
  at?: string
  closes?: string
}

const columnsOf = (kind: FactKind): Columns => factKinds[kind]

const bodyOf = (text: string): Fields => {
  try {
    return JSON.parse(text) as Fields
  } catch {
    // what the schema misses then is what is damaged
    return {}
  }
}

const isClosedTwice = (error: unknown) =>
  String((error as { code?: unknown } | null)?.code) === 'SQLITE_CONSTRAINT_UNIQUE'

/** @param onDamage told once of each fact that cannot be read; it is left out, and stays in the database as it is */
export const factTable = (db: Database, onDamage: (what: string) => void): Facts => {
  const insert = db.prepare(
    'INSERT INTO facts (kind, subject, part, at, by, note, body, closes) VALUES (?, ?, ?, ?, ?, ?, ?, ?)',
  )
  const columns = 'id, subject, part, at, by, note, body, closes'
  const between = db.prepare<[string, number, number], Row>(
    `SELECT ${columns} FROM facts WHERE kind = ? AND at >= ? AND at < ? ORDER BY id`,
  )
  const ofSubject = db.prepare<[string, string, number, number], Row>(
    `SELECT ${columns} FROM facts WHERE kind = ? AND subject = ? AND at >= ? AND at < ? ORDER BY id`,
  )
  // from one subject and part to the next, so that it costs no more when years of each are on record
  const newest = db.prepare<{ kind: string; from: number }, Row>(
    `WITH RECURSIVE each_part (subject, part) AS (
       SELECT * FROM (SELECT subject, part FROM facts WHERE kind = @kind ORDER BY subject, part LIMIT 1)
       UNION ALL
       SELECT next.subject, next.part FROM each_part JOIN facts AS next ON next.id = coalesce(
         (SELECT id FROM facts AS f WHERE kind = @kind AND f.subject = each_part.subject AND f.part > each_part.part
          ORDER BY f.part LIMIT 1),
         (SELECT id FROM facts AS f WHERE kind = @kind AND f.subject > each_part.subject
          ORDER BY f.subject, f.part LIMIT 1))
     ), standing (id) AS (
       SELECT (SELECT id FROM facts AS one INDEXED BY facts_by_part WHERE kind = @kind AND one.subject = each_part.subject
         AND one.part = each_part.part AND at < @from ORDER BY id DESC LIMIT 1) FROM each_part
     )
     SELECT ${columns} FROM facts WHERE id IN (SELECT id FROM standing)
     UNION SELECT ${columns} FROM facts
     WHERE kind = @kind AND subject IN (SELECT subject FROM each_part) AND at >= @from ORDER BY id`,
  )
  const last = db.prepare<string, number>('SELECT max(id) FROM facts WHERE kind = ?').pluck()
  const damaged = new Set<number>()

  const read = <Kind extends FactKind>(kind: Kind, row: Row): Fact<Kind>[] => {
    const { schema, subject, part, at = 'at', closes } = columnsOf(kind)
    const fields: Fields = { by: row.by, note: row.note, ...bodyOf(row.body), [subject]: row.subject, [at]: row.at }
    if (part) fields[part] = row.part
    if (closes) fields[closes] = row.closes
    const read = schema.safeParse(fields)
    if (read.success) return [{ ...(read.data as FactEntry<Kind>), id: row.id }]
    if (!damaged.has(row.id)) {
      damaged.add(row.id)
      const wrong = read.error.issues.map(({ path, message }) => `${path.join('.')}: ${message}`).join('; ')
      const when = new Date(row.at).toISOString()
      onDamage(`fact ${row.id} (${kind} of ${row.subject}, ${when}) cannot be read and is left out: ${wrong}`)
    }
    return []
  }
  const readAll = async <Kind extends FactKind>(kind: Kind, rows: Row[]): Promise<Fact<Kind>[]> => {
    const found: Fact<Kind>[] = []
    const turn = new Turn()
    for (const row of rows) {
      if (turn.isOver) await turn.next()
      found.push(...read(kind, row))
    }
    return found
  }

  const write = <Kind extends FactKind>(kind: Kind, entry: FactEntry<Kind>): Fact<Kind> => {
    const { schema, subject, part = '', at = 'at', closes = '' } = columnsOf(kind)
    const checked = schema.parse(entry) as FactEntry<Kind>
    const { by = '', note = '', ...fields } = checked as Fields
    const own = [subject, part, at, closes]
    const body = Object.fromEntries(Object.entries(fields).filter(([name]) => !own.includes(name)))
    const values = [
      fields[subject],
      fields[part] ?? '',
      fields[at],
      by,
      note,
      JSON.stringify(body),
      fields[closes] ?? null,
    ]
    return { ...checked, id: Number(insert.run(kind, ...values).lastInsertRowid) }
  }
  const inOne = db.transaction((work: () => void) => work())

  return {
    async record(kind, entries) {
      const added: Fact<typeof kind>[] = []
      try {
        inOne.immediate(() => {
          for (const entry of entries) added.push(write(kind, entry))
        })
        return added
      } catch (error) {
        throw isClosedTwice(error)
          ? new ClosedAlready(`a ${kind} for what was closed already`, { cause: error })
          : error
      }
    },
    async of(kind, { subject, from = Number.NEGATIVE_INFINITY, to = Number.POSITIVE_INFINITY } = {}) {
      if (subject === undefined) return readAll(kind, between.all(kind, from, to))
      const rows = [subject].flat().flatMap(each => ofSubject.all(kind, each as string, from, to))
      return readAll(
        kind,
        rows.sort((a, b) => a.id - b.id),
      )
    },
    newest: async (kind, from = Number.POSITIVE_INFINITY) => readAll(kind, newest.all({ kind, from })),
    last: kinds => Math.max(0, ...kinds.map(kind => last.get(kind) ?? 0)),
  }
}
