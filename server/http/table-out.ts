import { z } from 'zod'
import { type Cell, type Columns, isoTime, table } from '../csv.js'

export const formatQuery = {
  format: z.enum(['json', 'csv']).default('json').describe('the same table as JSON or as CSV'),
}

/** the answer of a table: JSON, or the same as CSV with ?format=csv */
export const jsonOrCsv = <Schema extends z.ZodType>(schema: Schema) => ({
  description: 'the table',
  content: {
    'application/json': { schema },
    'text/csv': { schema: z.string().describe('RFC 4180, the unit in the name of the column') },
  },
})

/** Answers with a CSV. */
export const sendCsv = <Sent>(
  reply: { type: (contentType: string) => { send: (text: string) => Sent } },
  text: string,
): Sent => reply.type('text/csv; charset=utf-8').send(text)

/** Answers with a table as CSV. */
export const sendTable = <Row, Sent>(
  reply: Parameters<typeof sendCsv<Sent>>[0],
  rows: Iterable<Row>,
  columns: Columns<Row>,
): Sent => sendCsv(reply, table(rows, columns))

/** Columns that are headed as the fields they hold are called. */
export const fields = <Name extends string>(...names: Name[]) =>
  Object.fromEntries(names.map(name => [name, (row: { [name in Name]?: Cell }) => row[name]])) as Record<
    Name,
    (row: { [name in Name]?: Cell }) => Cell
  >

/** of an import: who sent what, and when */
export const begunColumns: Columns<{ id: number; at: number; by: string; file: string; note: string }> = {
  id: i => i.id,
  timeUtc: i => isoTime(i.at),
  ...fields('by', 'file', 'note'),
}

export const takenBackColumns: Columns<{ takenBack: { at: number; by: string } | null }> = {
  takenBackUtc: i => isoTime(i.takenBack?.at),
  takenBackBy: i => i.takenBack?.by,
}
