import type { InspectionChoices } from '../../core/inspection/index.js'
import type { Signature } from '../../core/quantities.js'
import { oneAtATime } from '../actions/index.js'
import type { InspectionFault } from '../http/schemas/inspections.js'
import type { Store } from '../store/store.js'
import { nextTurn } from '../turns.js'
import { type InspectionTable, noChoices } from './read-table.js'

/** What has been read, as far as it is put on record. */
export type Taken = Pick<InspectionTable, 'entries' | 'faults' | 'kind'> & {
  preview: Pick<InspectionTable['preview'], 'alreadyThere' | 'refused'>
}

/** stored in one commit: some ms */
const together = 200

/** Puts inspections on record: one import after another, each with who did it, what was taken and how it ended. */
export const inspectionRecorder = (store: Pick<Store, 'facts' | 'inspections'>, clock: () => number) => {
  const inTurn = oneAtATime()
  return {
    /**
     * @param read  reads the table when it is its turn, so that what another import brings just now is not doubled
     * @param said  what somebody said of it now, kept for the next table of its kind
     * @returns id of the import, and what was not taken; null for the id when there was nothing to take
     */
    take: <Table extends Taken>(
      read: () => Promise<Table>,
      file: string,
      who: Signature,
      said: InspectionChoices | null,
    ): Promise<{ id: number | null; faults: InspectionFault[]; table: Table }> =>
      inTurn(async () => {
        const table = await read()
        const { entries, faults, preview, kind } = table
        if (entries.length === 0) return { id: null, faults, table }
        const [begun] = await store.facts.record('inspection import', [{ at: clock(), ...who, file }])
        const { id } = begun!
        for (let from = 0; from < entries.length; from += together) {
          await store.inspections.add(id, entries.slice(from, from + together))
          await nextTurn()
        }
        if (kind && said && JSON.stringify(said) !== JSON.stringify(noChoices))
          await store.facts.record('inspection kind', [{ at: clock(), ...who, headings: kind, choices: said }])
        const { alreadyThere, refused } = preview
        const ended = { at: clock(), added: entries.length, alreadyThere, rowsRefused: refused }
        await store.facts.record('inspection import ended', [{ file, import: id, ...ended }])
        return { id, faults, table }
      }),
    /** @throws ClosedAlready when it was taken back meanwhile */
    takeBack: (imported: { id: number; end: number | null; file: string }, who: Signature): Promise<void> =>
      inTurn(async () => {
        await store.facts.record('inspection import taken back', [
          { at: clock(), ...who, file: imported.file, import: imported.id, end: imported.end ?? imported.id },
        ])
      }),
  }
}
