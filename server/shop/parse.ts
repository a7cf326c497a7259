import { LineCounter, parseDocument, type YAMLParseError } from 'yaml'
import type { Shop } from '../../core/shop.js'
import { duplicateKeys, locate, unresolvedAliases } from './locate.js'
import type { ShopProblem } from './problem.js'
import { shopFile } from './schema.js'
import type { Blame } from './section.js'

export type ParsedShop = { shop: Shop } | { problems: ShopProblem[] }

const yamlRemedies: Partial<Record<YAMLParseError['code'], string>> = {
  TAB_AS_INDENT: 'indent with blanks, not with tabs',
  BAD_INDENT: 'close every bracket, and indent keys of the same section by the same number of blanks',
  MISSING_CHAR: 'close every bracket, brace and quote that is opened',
  BLOCK_AS_IMPLICIT_KEY: 'put quotes around a text that holds a colon and a blank',
  MULTIPLE_DOCS: 'keep one shop in one file, without a line of ---',
}

/** In the order of the file, so that they can be worked off from top to bottom. */
const inOrder = (problems: ShopProblem[]): ShopProblem[] =>
  problems.sort((a, b) => (a.line ?? 0) - (b.line ?? 0) || (a.column ?? 0) - (b.column ?? 0))

/**
 * Reads a shop file.
 *
 * @param text     YAML
 * @param fileName as it shall be named in problems
 * @returns the shop, or every mistake found, each with its place and remedy
 */
export const parseShop = (text: string, fileName: string): ParsedShop => {
  const lines = new LineCounter()
  const document = parseDocument(text, { lineCounter: lines, prettyErrors: false, uniqueKeys: false, merge: true })
  const whole = (what: string, remedy: string) => ({
    problems: [{ file: fileName, line: null, column: null, path: [], what, remedy }],
  })
  const at = (offset: number, what: string, remedy: string, path: string[] = []): ShopProblem => {
    const { line, col } = lines.linePos(offset)
    return { file: fileName, line, column: col, path, what, remedy }
  }
  if (document.errors.length > 0)
    return {
      problems: inOrder(
        document.errors.map(({ pos, message, code }) => {
          const remedy = `${yamlRemedies[code] ?? 'correct the YAML here'}; the rest is checked once the file can be read`
          return at(pos[0], `not readable as YAML: ${message}`, remedy)
        }),
      ),
    }
  const unresolved = unresolvedAliases(document)
  if (unresolved.length > 0)
    return {
      problems: unresolved.map(({ name, offset }) => {
        const remedy = `write &${name} before the value it stands for, further up, or quotes around a text that begins with *`
        return at(offset, `there is no &${name} above for *${name}`, remedy)
      }),
    }
  if (document.contents === null) return whole('it is empty', 'begin with the example that comes with the project')

  let file: unknown
  try {
    file = document.toJS({ maxAliasCount: 1000 })
  } catch (error) {
    return whole(
      `its aliases cannot be followed: ${(error as Error).message}`,
      'write out what the aliases (*name) stand for',
    )
  }
  const problems = duplicateKeys(document.contents).map(({ path, key, offset, firstOffset }) => {
    const what = `"${key}" is written twice; it stands in line ${lines.linePos(firstOffset).line} already`
    return at(offset, what, 'keep one of the two', path)
  })
  const result = shopFile.safeParse(file)
  if (result.success && problems.length === 0) return { shop: result.data }
  for (const issue of result.error?.issues ?? []) {
    const path = issue.path.map(String)
    const blame: Partial<Blame> = issue.code === 'custom' ? (issue.params ?? {}) : {}
    problems.push({
      file: fileName,
      ...locate(document, lines, path, blame.key ? 'key' : 'value'),
      path,
      what: blame.missing ? `"${path.at(-1)}" is missing` : issue.message,
      remedy: blame.remedy ?? 'correct it as the documentation of the shop file says',
    })
  }
  return { problems: inOrder(problems) }
}
