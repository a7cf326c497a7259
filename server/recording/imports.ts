import type { ImportFact } from '../http/schemas/recording.js'
import type { Store } from '../store/store.js'

/** @returns newest first, so many at most */
export const importsOf = async (
  { facts, noted }: Pick<Store, 'facts' | 'noted'>,
  most: number,
): Promise<(ImportFact & { end: number })[]> => {
  const [begun, ended, takenBack] = await Promise.all([
    facts.of('import'),
    facts.of('import ended'),
    facts.of('import taken back'),
  ])
  const ends = new Map(ended.map(end => [end.import, end]))
  const backs = new Map(takenBack.map(back => [back.import, back]))
  const newest = begun.slice(-most).reverse()
  const left = await Promise.all(newest.map(each => noted(each.id)))
  return newest.map((each, i) => {
    const { id: end, file: _, import: __, ...how } = ends.get(each.id) ?? { id: each.id, file: '', import: 0 }
    const back = backs.get(each.id)
    return {
      ...each,
      end,
      ended: 'at' in how ? how : null,
      takenBack: back ? { at: back.at, by: back.by, note: back.note } : null,
      left: left[i]?.readings ?? 0,
    }
  })
}
