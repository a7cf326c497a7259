import type { WorkChange } from '../../../core/happened/index.js'
import { standingFacts } from '../../store/standing-facts.js'
import type { Store } from '../../store/store.js'

/** What was changed at a machine and not taken back, in order of the time at which it was done. */
export const workChangesOf = (store: { facts: Pick<Store['facts'], 'of'> }, machine: string): Promise<WorkChange[]> =>
  standingFacts(store, machine, 'work change', 'work change taken back', ({ change }) => change)
