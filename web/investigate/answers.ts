import type { InspectionChoices } from '../../core/inspection/index.js'
import type { InvestigatedGroup } from '../../core/investigation/index.js'
import type { Signature } from '../../core/quantities.js'
import type { ImportedAnswer, InspectionPreview } from '../../server/http/schemas/inspections.js'
import { path, send } from '../api.js'

/** What the page asks for; it lives in the address. */
export interface Asked {
  /** ms; null: as far as there are inspections */
  from: number | null
  to: number | null
  /** id; empty: the one that comes nearest to each feature */
  workClass: string
  /** s; all cuts so much later than written */
  moved: number
}

const query = ({ from, to, workClass, moved }: Asked): Record<string, string | number> => ({
  ...(from !== null && { from }),
  ...(to !== null && { to }),
  ...(workClass && { workClass }),
  ...(moved !== 0 && { moved }),
})

type Which = Pick<InvestigatedGroup, 'part' | 'feature' | 'machine'>
const which = ({ part, feature, machine }: Which) => ({ part, feature, machine })

export const investigationPath = (asked: Asked, of: Which | null): string =>
  path('/api/investigation', { ...query(asked), ...(of && which(of)) })

/** what could have been otherwise, as the interface writes it */
export type Otherwise = Partial<Record<'hold' | 'datum' | 'on' | 'later', string | number>>
export const whatIfPath = (asked: Asked, of: Which, otherwise: Otherwise): string =>
  path('/api/investigation/what-if', { ...query(asked), ...which(of), ...otherwise })

const said = (choices: InspectionChoices | null): Record<string, string> =>
  choices ? { choices: JSON.stringify(choices) } : {}

export const previewInspections = (table: Blob, choices: InspectionChoices | null): Promise<InspectionPreview> =>
  send(path('/api/inspections/preview', said(choices)), table)

export const importInspections = (
  table: Blob,
  choices: InspectionChoices | null,
  file: string,
  { by, note }: Signature,
): Promise<ImportedAnswer> => send(path('/api/inspections/import', { ...said(choices), by, note, file }), table)
