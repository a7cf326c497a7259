import type { Inspection, InspectionEntry } from '../../core/inspection/index.js'
import type { InspectionImport } from '../http/schemas/inspections.js'
import type { InspectionSpan } from '../store/inspections.js'
import type { Store } from '../store/store.js'
import { Turn } from '../turns.js'

type Asked = Pick<Store, 'facts' | 'inspections'>

/** Imports of inspections in the order in which they were begun, with the fact that an undoing closes. */
export const inspectionImports = async ({
  facts,
}: Pick<Store, 'facts'>): Promise<(InspectionImport & { end: number | null })[]> => {
  const [begun, ended, back] = await Promise.all([
    facts.of('inspection import'),
    facts.of('inspection import ended'),
    facts.of('inspection import taken back'),
  ])
  const ends = new Map(ended.map(end => [end.import, end]))
  const backs = new Map(back.map(each => [each.import, each]))
  return begun.map(({ id, at, by, note, file }) => {
    const end = ends.get(id)
    const undone = backs.get(id)
    return {
      id,
      at,
      by,
      note,
      file,
      end: end?.id ?? null,
      ended: end ? { at: end.at, added: end.added, alreadyThere: end.alreadyThere, refused: end.rowsRefused } : null,
      takenBack: undone ? { at: undone.at, by: undone.by, note: undone.note } : null,
    }
  })
}

/**
 * Inspections that count, in order of their cut, some hundred together: those of imports that came to their end and were
 * not taken back.
 */
export async function* standingInspections(store: Asked, asked?: InspectionSpan): AsyncGenerator<Inspection[]> {
  const imports = await inspectionImports(store)
  const standing = new Set(imports.flatMap(({ id, ended, takenBack }) => (ended && !takenBack ? [id] : [])))
  for await (const together of store.inspections.of(asked)) yield together.filter(each => standing.has(each.import))
}

/** What tells one measured feature from another: the same one entered again is not another. */
export const keyOf = ({ machine, part, feature, serial, from, measured }: InspectionEntry): string =>
  `${machine}\n${part}\n${feature}\n${serial}\n${from}\n${measured}`

/** The keys of all inspections that count. */
export const standingKeys = async (store: Asked): Promise<Set<string>> => {
  const keys = new Set<string>()
  const turn = new Turn()
  for await (const together of standingInspections(store)) {
    if (turn.isOver) await turn.next()
    for (const each of together) keys.add(keyOf(each))
  }
  return keys
}

/** whether the measured size is beyond a limit */
export const rejectOf = ({ measured, lower, upper }: Inspection): 'too small' | 'too large' | null =>
  lower !== null && measured < lower ? 'too small' : upper !== null && measured > upper ? 'too large' : null
