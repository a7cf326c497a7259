import type { Shop } from '../../../core/shop.js'
import type { Verdict } from '../../../core/state.js'
import { grouped } from '../../grouped.js'
import type { Store } from '../../store/store.js'
import { lastAt } from './predicting.js'

/** What the wall showed of a machine and a kind of work at a moment, ms; null: nothing is on record. */
export type ShownAt = (machine: string, workClass: string, at: number) => Verdict | null

/** Reads the verdicts that were shown of machines until a moment, ms. */
export const readShown = async (
  { facts }: Pick<Store, 'facts'>,
  machines: readonly string[],
  to: number,
): Promise<ShownAt> => {
  const shown = (await facts.of('verdict', { subject: [...machines], to })).map(
    ({ machine, workClass, at, verdict }) => ({ machine, workClass, at, verdict }),
  )
  const changes = grouped(shown, ({ machine, workClass }) => `${machine}\n${workClass}`)
  for (const all of changes.values()) all.sort((a, b) => a.at - b.at)
  return (machine, workClass, at) => lastAt(changes.get(`${machine}\n${workClass}`) ?? [], at)?.verdict ?? null
}

/**
 * The kind of work that comes nearest to a feature by its tolerance and length; null where the shop has none.
 *
 * @param tolerance m; null: not said
 * @param length    m
 */
export const nearestClass = (
  { workClasses }: Pick<Shop, 'workClasses'>,
  tolerance: number | null,
  length: number,
): string | null => {
  const distance = (of: { tolerance: number; featureLength: number }) =>
    Math.hypot(
      tolerance === null ? 0 : Math.log(of.tolerance / tolerance),
      // a tolerance that is twice as wide matters more than a length that is twice as long
      Math.log(of.featureLength / length) / 2,
    )
  const [nearest] = [...workClasses].sort((a, b) => distance(a) - distance(b))
  return nearest?.id ?? null
}
