import { parse } from 'csv-parse/sync'

/** characters; a longer line is no row of a table: ten thousand sensors need half of it */
export const longestLine = 200_000

/** Thrown by `lines`: the rest of the file cannot be read. */
export class NotALine extends Error {
  constructor(readonly line: number) {
    super('a line is too long')
  }
}

/**
 * The lines of a UTF-8 file as its bytes come, whatever ends them (CR LF, LF, CR), without a byte order mark. Bytes that
 * are not UTF-8 become the replacement character U+FFFD.
 *
 * @throws NotALine when one is longer than `longestLine`, so that memory stays bounded
 */
export async function* lines(chunks: AsyncIterable<Uint8Array>): AsyncGenerator<string[]> {
  const decoder = new TextDecoder()
  let rest = ''
  let count = 0
  for await (const chunk of chunks) {
    const found = (rest + decoder.decode(chunk, { stream: true })).split(lineEnd)
    rest = found.pop() ?? ''
    count += found.length
    if (rest.length > longestLine || found.some(line => line.length > longestLine)) throw new NotALine(count + 1)
    if (found.length > 0) yield found
  }
  const last = (rest + decoder.decode()).replace(/\r$/, '')
  if (last !== '') yield [last]
}

/** what may stand between cells */
export type Delimiter = ',' | ';' | '\t'
const delimiters: readonly Delimiter[] = ['\t', ';', ',']

/** what ends a line; a CR at the end of a piece may be half of one */
const lineEnd = /\r\n|\n|\r(?!$)/

/** The delimiter of a table, by the one its line of headings holds most of. */
export const delimiterOf = (headings: string): Delimiter => {
  const bare = headings.replace(/"[^"]*"/g, '')
  const count = (delimiter: string) => bare.split(delimiter).length
  return delimiters.reduce((best, next) => (count(next) > count(best) ? next : best))
}

/**
 * The cells of one line (RFC 4180, but a cell does not go over the end of a line: so a quotation mark too many costs one
 * row, not the rest of the file), trimmed.
 *
 * @param delimiter between them; null for any that may be
 * @returns null when its quotation marks do not match
 */
export const cellsOf = (line: string, delimiter: Delimiter | null): string[] | null => {
  // most lines have none, and then splitting is all there is to it
  if (!line.includes('"')) return line.split(delimiter ?? /[\t;,]/).map(cell => cell.trim())
  try {
    const [record] = parse(line, {
      delimiter: delimiter ?? [...delimiters],
      relax_column_count: true,
      trim: true,
    }) as string[][]
    return record ?? []
  } catch {
    return null
  }
}
