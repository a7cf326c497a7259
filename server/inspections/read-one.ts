import type { InspectionUse } from '../../core/inspection/index.js'
import type { Taken } from './importing.js'
import { noChoices, type ReadingParts } from './read-table.js'
import { InspectionRows } from './rows.js'
import { keyOf, standingInspections } from './standing.js'

/**
 * One measured part as people write it, cell by cell.
 *
 * @param cells by what they are
 */
export const readOne = async (
  cells: Partial<Record<InspectionUse, string>>,
  { shop, store, now }: ReadingParts,
): Promise<Taken> => {
  const given = Object.entries(cells) as [InspectionUse, string][]
  const columns = given.map(([use]) => ({ use, heading: use, unit: '' }))
  const read = new InspectionRows(columns, noChoices, true, { shop, now }).take(
    given.map(([, cell]) => cell.trim()),
    0,
  )
  if (Array.isArray(read)) return { entries: [], faults: read, kind: null, preview: { alreadyThere: 0, refused: 1 } }
  const alike = { machine: read.machine, part: read.part, from: read.from, to: read.from + 1 }
  for await (const together of standingInspections(store, alike))
    if (together.some(each => keyOf(each) === keyOf(read)))
      return { entries: [], faults: [], kind: null, preview: { alreadyThere: 1, refused: 0 } }
  return { entries: [read], faults: [], kind: null, preview: { alreadyThere: 0, refused: 0 } }
}
