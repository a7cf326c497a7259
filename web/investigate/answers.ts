import type { InspectionChoices } from '../../core/inspection/index.js'
import type { InvestigatedGroup, InvestigationAnswer, WhatIfAnswer } from '../../core/investigation/index.js'
import type { SourcesAnswer, WhatIfAnswer as WithoutAnswer } from '../../core/shop-model/index.js'
import type { ImportedAnswer, InspectionImport, InspectionPreview } from '../../server/http/schemas/inspections.js'
import { ask, machinePath, path, post, send } from '../api.js'
import type { Signature } from '../frame/signed.js'

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

export const investigationPath = (asked: Asked, of: Which | null, format?: 'csv'): string =>
  path('/api/investigation', { ...query(asked), ...(of && which(of)), ...(format && { format }) })
export const fetchInvestigation = (asked: Asked, of: Which | null, signal: AbortSignal): Promise<InvestigationAnswer> =>
  ask(investigationPath(asked, of), { signal })

/** what could have been otherwise, as the interface writes it */
export type Otherwise = Partial<Record<'hold' | 'datum' | 'on' | 'later', string | number>>
export const fetchWhatIf = (
  asked: Asked,
  of: Which,
  otherwise: Otherwise,
  signal: AbortSignal,
): Promise<WhatIfAnswer> =>
  ask(path('/api/investigation/what-if', { ...query(asked), ...which(of), ...otherwise }), { signal })

export const fetchSources = (
  machine: string,
  { from, to, axis }: { from: number; to: number; axis: string | null },
  signal: AbortSignal,
): Promise<SourcesAnswer> =>
  ask(path(machinePath(machine, 'sources'), { from, to, ...(axis !== null && { axis }) }), { signal })

export const fetchWithout = (
  machine: string,
  { from, to, shut }: { from: number; to: number; shut: string },
  signal: AbortSignal,
): Promise<WithoutAnswer> => ask(path(machinePath(machine, 'what-if'), { from, to, shut }), { signal })

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

export const enterInspection = (one: Record<string, string>, signature: Signature): Promise<ImportedAnswer> =>
  post('/api/inspections', { ...signature, one })

export const fetchImports = (signal: AbortSignal): Promise<{ imports: InspectionImport[] }> =>
  ask('/api/inspections/imports?limit=20', { signal })

export const takeBackImport = (id: number, signature: Signature): Promise<unknown> =>
  post(`/api/inspections/imports/${id}/take-back`, signature)
