import type { RecordAnswer } from '../../server/http/schemas/records.js'
import { asCsvInUnits, ask, path } from '../api.js'

/** Questions about records. */

interface Range {
  from: number
  to: number
}
export type Subject = RecordAnswer['subject']

const address = ({ kind, id }: Pick<Subject, 'kind' | 'id'>) => `/api/records/${kind}/${encodeURIComponent(id)}`

export const fetchRecord = (subject: Pick<Subject, 'kind' | 'id'>, range: Range, signal: AbortSignal) =>
  ask<RecordAnswer>(path(address(subject), { ...range }), { signal })

/** the tables of a record that can be had as CSV */
export const csvTables = [
  { id: 'sensors', text: 'Sensors' },
  { id: 'limits', text: 'Limits' },
  { id: 'excursions', text: 'Excursions' },
  { id: 'gaps', text: 'Gaps' },
  { id: 'not-believed', text: 'Not believed' },
  { id: 'intervals', text: 'Every interval' },
] as const

export const recordCsvPath = (subject: Pick<Subject, 'kind' | 'id'>, { from, to }: Range, table: string): string =>
  asCsvInUnits(path(address(subject), { from, to, table }))
