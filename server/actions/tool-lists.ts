import type { ToolList } from '../../core/spindle/index.js'
import type { Store } from '../store/store.js'

/** A tool list as it stands, and the fact that says so: a change closes that one. */
export interface StandingList {
  list: ToolList
  version: number
}

/** The tool lists of a machine as they stand, the last one entered first; what was withdrawn is not among them. */
export const toolListsOf = async ({ facts }: Pick<Store, 'facts'>, machine: string): Promise<StandingList[]> => {
  const [entered, changes] = await Promise.all([
    facts.of('tool list', { subject: machine }),
    facts.of('tool list change', { subject: machine }),
  ])
  const standing = new Map(entered.map((list): [number, StandingList] => [list.id, { list, version: list.id }]))
  for (const { id, list, became, at, by, note } of changes) {
    const before = standing.get(list)
    if (!before) continue
    if (became) standing.set(list, { list: { ...before.list, ...became, changedAt: at, by, note }, version: id })
    else standing.delete(list)
  }
  return [...standing.values()].sort((a, b) => b.list.id - a.list.id)
}
