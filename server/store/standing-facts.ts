import type { Fact, FactKind } from './fact-kinds.js'
import type { Store } from './store.js'

/**
 * What was recorded of a machine and not taken back, in order of the time at which it was so.
 *
 * @param of which fact one that takes back is about
 */
export const standingFacts = async <
  Kind extends 'alignment check' | 'work change' | 'spindle test',
  Back extends FactKind,
>(
  { facts }: { facts: Pick<Store['facts'], 'of'> },
  machine: string,
  kind: Kind,
  back: Back,
  of: (taken: Fact<Back>) => number,
): Promise<Fact<Kind>[]> => {
  const asked = { subject: machine }
  const [all, taken] = await Promise.all([facts.of(kind, asked), facts.of(back, asked)])
  const gone = new Set(taken.map(of))
  return all.filter(({ id }) => !gone.has(id)).sort((a, b) => a.at - b.at || a.id - b.id)
}
