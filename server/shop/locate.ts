import { type Document, isAlias, isMap, isScalar, isSeq, type LineCounter, type Node, type Pair, visit } from 'yaml'

const keyOf = (pair: Pair): string => (isScalar(pair.key) ? String(pair.key.value) : String(pair.key))
const startOf = (node: unknown): number | undefined => (node as Node | null)?.range?.[0]

/**
 * Where in the text a path of keys stands.
 *
 * @param want the last key itself, or the value behind it; where the path ends early, the last key there is
 * @returns line and column, counted from 1
 */
export const locate = (document: Document, lines: LineCounter, path: readonly PropertyKey[], want: 'key' | 'value') => {
  let at: unknown = document.contents
  let offset = 0
  for (const [depth, step] of path.entries()) {
    if (isAlias(at)) at = at.resolve(document)
    const last = depth === path.length - 1
    if (isMap(at)) {
      const pair = at.items.find(item => keyOf(item) === String(step))
      if (!pair) break
      const key = startOf(pair.key)
      const value = startOf(pair.value)
      offset = (last && want === 'value' ? value : key) ?? key ?? offset
      at = pair.value
    } else if (isSeq(at)) {
      at = at.items[Number(step)]
      offset = startOf(at) ?? offset
    } else break
  }
  const { line, col } = lines.linePos(offset)
  return { line: Math.max(1, line), column: Math.max(1, col) }
}

/** Aliases (*name) whose anchor (&name) does not come before them. */
export const unresolvedAliases = (document: Document): { name: string; offset: number }[] => {
  const found: { name: string; offset: number }[] = []
  visit(document, {
    Alias: (_key, alias) => {
      if (!alias.resolve(document)) found.push({ name: alias.source, offset: alias.range?.[0] ?? 0 })
    },
  })
  return found
}

interface Duplicate {
  path: string[]
  key: string
  offset: number
  firstOffset: number
}

/** Keys that are written twice in one section; the second would silently win. */
export const duplicateKeys = (node: unknown, path: string[] = []): Duplicate[] => {
  if (isSeq(node)) return node.items.flatMap((item, index) => duplicateKeys(item, [...path, String(index)]))
  if (!isMap(node)) return []
  const first = new Map<string, number>()
  return node.items.flatMap(pair => {
    const key = keyOf(pair)
    const offset = startOf(pair.key) ?? 0
    const firstOffset = first.get(key)
    const below = duplicateKeys(pair.value, [...path, key])
    if (firstOffset === undefined) {
      first.set(key, offset)
      return below
    }
    return [{ path: [...path, key], key, offset, firstOffset }, ...below]
  })
}
