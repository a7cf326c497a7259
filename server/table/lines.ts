import { parse } from 'csv-parse/sync'

/** characters; a longer line is no row of a table: ten thousand sensors need half of it */
export const longestLine = 200_000

/** Thrown by `lines`: the rest of the file cannot be read. */
export class NotALine extends Error {
  constructor(readonly line: number) {
    super('a line is too long')
  }
}

export type Encoding = 'utf-8' | 'utf-16le' | 'utf-16be' | 'windows-1252'

/**
 * The encoding of a text by its first bytes: by its mark, by the zeros that UTF-16 has in ordinary letters, and otherwise
 * UTF-8 unless it cannot be; then it is taken for that of western spreadsheets.
 */
export const encodingOf = (start: Uint8Array): Encoding => {
  if (start[0] === 0xff && start[1] === 0xfe) return 'utf-16le'
  if (start[0] === 0xfe && start[1] === 0xff) return 'utf-16be'
  const zeros = [0, 0]
  for (const [index, byte] of start.subarray(0, 1000).entries()) if (byte === 0) zeros[index % 2]! += 1
  const many = Math.min(start.length, 1000) / 4
  if (zeros[1]! > many && zeros[0] === 0) return 'utf-16le'
  if (zeros[0]! > many && zeros[1] === 0) return 'utf-16be'
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(start, { stream: true })
    return 'utf-8'
  } catch {
    return zeros[0]! + zeros[1]! > 0 ? 'utf-8' : 'windows-1252'
  }
}

/**
 * The lines of a file as its bytes come, whatever ends them (CR LF, LF, CR), without a byte order mark. Bytes that
 * are not of its encoding become the replacement character U+FFFD.
 *
 * @throws NotALine when one is longer than `longestLine`, so that memory stays bounded
 */
export async function* lines(
  chunks: AsyncIterable<Uint8Array>,
  encoding: Encoding = 'utf-8',
): AsyncGenerator<string[]> {
  const decoder = new TextDecoder(encoding)
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
