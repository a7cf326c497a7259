import type { WorkChange } from '../../../core/happened/index.js'
import type { Store } from '../../store/store.js'

/** What was changed at a machine and not taken back, in order of the time at which it was done. */
export const workChangesOf = async (
  { facts }: { facts: Pick<Store['facts'], 'of'> },
  machine: string,
): Promise<WorkChange[]> => {
  const [changes, back] = await Promise.all([
    facts.of('work change', { subject: machine }),
    facts.of('work change taken back', { subject: machine }),
  ])
  const gone = new Set(back.map(({ change }) => change))
  return changes.filter(({ id }) => !gone.has(id)).sort((a, b) => a.at - b.at || a.id - b.id)
}
