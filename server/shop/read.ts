import { readFileSync } from 'node:fs'
import { type ParsedShop, parseShop } from './parse.js'

const reasons: Record<string, [what: string, remedy: string]> = {
  ENOENT: ['there is no such file', 'check the path, or copy the example that comes with the project and change it'],
  EISDIR: ['it is a folder', 'give the path of the file in it'],
  EACCES: ['it may not be read', 'give the user of this service the right to read it'],
}

/**
 * Reads a shop file from disk.
 *
 * @param path of the file; used as it is written in problems
 * @returns as `parseShop`; a file that cannot be opened is a problem too
 */
export const readShop = (path: string): ParsedShop => {
  try {
    return parseShop(readFileSync(path, 'utf8'), path)
  } catch (error) {
    const { code = '', message } = error as NodeJS.ErrnoException
    const [what, remedy] = reasons[code] ?? [`it cannot be read: ${message}`, 'check the path and the disk']
    return { problems: [{ file: path, line: null, column: null, path: [], what, remedy }] }
  }
}
