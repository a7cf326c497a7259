import type { FormerIds } from '../shop/formerly.js'
import { type Fact, type FactKind, factKinds } from './fact-kinds.js'
import type { Facts } from './facts.js'

/** Facts as they would be had everything always had the id it has now. What lies in the database stays as it was said. */
export const underPresentIds = (facts: Facts, former: FormerIds): Facts => {
  if (former.sensors.size + former.machines.size + former.workClasses.size === 0) return facts
  const idsOf = { sensor: former.sensors, machine: former.machines, workClass: former.workClasses }
  const renamed = <Kind extends FactKind>(fact: Fact<Kind>): Fact<Kind> => {
    const now: Record<string, unknown> = { ...fact }
    for (const [field, ids] of Object.entries(idsOf)) {
      const id = now[field]
      if (typeof id === 'string') now[field] = ids.get(id) ?? id
    }
    return now as Fact<Kind>
  }
  const withFormer = (kind: FactKind, id: string): string[] => {
    const { subject } = factKinds[kind]
    const ids = subject === 'sensor' ? former.sensors : subject === 'machine' ? former.machines : new Map()
    return [id, ...[...ids].filter(([, now]) => now === id).map(([before]) => before)]
  }
  return {
    record: facts.record,
    last: facts.last,
    async of(kind, span = {}) {
      const subject =
        span.subject === undefined ? undefined : [span.subject].flat().flatMap(id => withFormer(kind, id as string))
      return (await facts.of(kind, { ...span, ...(subject && { subject }) })).map(renamed)
    },
    async newest(kind, from = Number.POSITIVE_INFINITY) {
      const { subject, part }: { subject: string; part?: string } = factKinds[kind]
      const all = (await facts.newest(kind, from)).map(renamed) as (Fact<typeof kind> & { id: number } & Record<
          string,
          unknown
        >)[]
      const keyOf = (fact: Record<string, unknown>) => `${fact[subject]}\n${part ? fact[part] : ''}`
      // of two that were one thing under two names, the one recorded last; in order of recording
      const last = new Map(all.map(fact => [keyOf(fact), fact.id]))
      const recent = new Set((await facts.of(kind, { from })).map(({ id }) => id))
      return all.filter(fact => last.get(keyOf(fact)) === fact.id || recent.has(fact.id))
    },
  }
}
