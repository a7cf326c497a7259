import type { ClassState, Verdict } from '../../core/state.js'

export const verdicts: readonly Verdict[] = ['fit', 'settling', 'unfit', 'unknown']

/** how many machines have which verdict; a machine of which nothing is known counts as unknown */
export const countVerdicts = (states: readonly (ClassState | undefined)[]): Record<Verdict, number> => {
  const counts: Record<Verdict, number> = { fit: 0, settling: 0, unfit: 0, unknown: 0 }
  for (const state of states) counts[state?.verdict ?? 'unknown'] += 1
  return counts
}

/** "3 fit, 2 settling, 1 unfit, 2 unknown"; what there is none of is left out */
export const summaryText = (counts: Record<Verdict, number>): string =>
  verdicts
    .filter(verdict => counts[verdict] > 0)
    .map(verdict => `${counts[verdict]} ${verdict}`)
    .join(', ')

/** The work class that follows in the rotation; the first when the present one is not there. */
export const nextClass = (classes: readonly { id: string }[], present: string): string | undefined =>
  classes[(classes.findIndex(c => c.id === present) + 1) % classes.length]?.id

/** s between work classes from the address (`?rotate=20`), null when off or not a sensible number */
export const rotation = (written: string | null): number | null => {
  const seconds = Number(written)
  return written && Number.isFinite(seconds) && seconds >= 5 && seconds <= 3600 ? seconds : null
}

/** what wants attention stands first */
const urgency: Record<Verdict, number> = { unfit: 0, unknown: 1, settling: 2, fit: 3 }

/** Machines with what is not fit first; those of one verdict stay in the order of the shop file. */
export const notFitFirst = <T extends { state: ClassState | undefined }>(lanes: readonly T[]): T[] =>
  lanes.toSorted((a, b) => urgency[a.state?.verdict ?? 'unknown'] - urgency[b.state?.verdict ?? 'unknown'])
