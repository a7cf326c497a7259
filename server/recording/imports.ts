import type { ImportFact } from '../http/schemas/recording.js'
import type { Store } from '../store/store.js'

/** @returns newest first, so many at most */
export const importsOf = async ({ facts }: Pick<Store, 'facts'>, most: number): Promise<ImportFact[]> => {
  const [begun, ended] = await Promise.all([facts.of('import'), facts.of('import ended')])
  const ends = new Map(ended.map(({ id: _, file: __, import: of, ...end }) => [of, end]))
  return begun
    .slice(-most)
    .reverse()
    .map(each => ({ ...each, ended: ends.get(each.id) ?? null }))
}
