import { type Columns, table } from '../csv.js'

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
