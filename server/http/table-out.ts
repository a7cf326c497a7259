import { type Columns, isoTime, table } from '../csv.js'

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

/** of an import: who sent what, and when */
export const begunColumns: Columns<{ id: number; at: number; by: string; file: string; note: string }> = {
  id: i => i.id,
  timeUtc: i => isoTime(i.at),
  by: i => i.by,
  file: i => i.file,
  note: i => i.note,
}

export const takenBackColumns: Columns<{ takenBack: { at: number; by: string } | null }> = {
  takenBackUtc: i => isoTime(i.takenBack?.at),
  takenBackBy: i => i.takenBack?.by,
}
