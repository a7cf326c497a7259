import type { Shop } from '../../core/shop.js'
import type { Outline } from './outline.js'
import { text } from './readers.js'
import { type Blame, list, picked, unlessEmpty, value } from './section.js'

/** Ids under which something of the shop was known before, each with the id it has now. */
export interface FormerIds {
  sensors: ReadonlyMap<string, string>
  machines: ReadonlyMap<string, string>
  workClasses: ReadonlyMap<string, string>
}

/** `formerly: old-id`, or a list of them. */
export const formerly = unlessEmpty(
  picked<string[]>(raw =>
    typeof raw === 'string'
      ? value(text('mill-2-x-screw')).transform(one => [one])
      : list(value(text('mill-2-x-screw')), 'write the former id, or a list of them: formerly: [mill-2-x-screw]'),
  ),
)

const former = (all: readonly { id: string; formerly?: string[] }[]): Map<string, string> =>
  new Map(all.flatMap(({ id, formerly: before = [] }) => before.map(old => [old, id] as const)))

export const formerIdsOf = (shop: Pick<Shop, 'sensors' | 'machines' | 'workClasses'>): FormerIds => ({
  sensors: former(shop.sensors),
  machines: former(shop.machines),
  workClasses: former(shop.workClasses),
})

/** Former ids that are in use, or that two lay claim to. */
export const claimedTwice = (outline: Outline): { path: string[]; what: string; blame: Blame }[] => {
  const sections = { sensors: outline.sensors, machines: outline.all.machines, 'work classes': outline.all.workClasses }
  return Object.entries(sections).flatMap(([section, entries]) => {
    const owner = new Map<string, string>()
    return [...entries].flatMap(([id, written]) =>
      [written.formerly ?? []].flat().flatMap(old => {
        if (typeof old !== 'string') return []
        const other = entries.has(old) ? old : owner.get(old)
        owner.set(old, id)
        if (other === undefined) return []
        return {
          path: [section, id, 'formerly'],
          what: entries.has(old)
            ? `"${old}" is in use in this file, so it cannot be what "${id}" was called before`
            : `"${old}" is what "${other}" was called before, too`,
          blame: { remedy: 'a former id belongs to one entry, and no entry has it now' },
        }
      }),
    )
  })
}
