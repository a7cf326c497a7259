import { type Fact, type FactEntry, type FactKind, factKinds } from '../../../server/store/fact-kinds.js'
import { ClosedAlready, type FactSpan, type Facts } from '../../../server/store/facts.js'

type Fields = Record<string, unknown> & { id: number }

/** Facts that end with the test: the same contract as those of a database. */
export const factsInMemory = (): Facts => {
  let all: { kind: FactKind; fact: Fields; subject: string; part: string; at: number; closes: unknown }[] = []
  const columnsOf = (kind: FactKind): { subject: string; part?: string; at?: string; closes?: string } =>
    factKinds[kind]
  const kept = <Kind extends FactKind>(kind: Kind, test: (each: (typeof all)[0]) => boolean): Fact<Kind>[] =>
    all.filter(each => each.kind === kind && test(each)).map(({ fact }) => structuredClone(fact) as Fact<Kind>)
  return {
    async record<Kind extends FactKind>(kind: Kind, entries: readonly FactEntry<Kind>[]) {
      const { subject, part = '', at = 'at', closes = '' } = columnsOf(kind)
      const next = [...all]
      for (const entry of entries) {
        const fact: Fields = { ...factKinds[kind].schema.parse(entry), id: next.length + 1 }
        const closed = fact[closes] ?? null
        if (closed !== null && next.some(other => other.closes === closed)) throw new ClosedAlready(kind)
        next.push({
          kind,
          fact,
          subject: String(fact[subject]),
          part: String(fact[part] ?? ''),
          at: Number(fact[at]),
          closes: closed,
        })
      }
      const added = next.slice(all.length)
      all = next
      return added.map(({ fact }) => structuredClone(fact) as Fact<Kind>)
    },
    of: async (kind, { subject, from = Number.NEGATIVE_INFINITY, to = Number.POSITIVE_INFINITY }: FactSpan = {}) =>
      kept(kind, each => (!subject || [subject].flat().includes(each.subject)) && from <= each.at && each.at < to),
    last: kinds => Math.max(0, ...all.filter(({ kind }) => kinds.includes(kind)).map(({ fact }) => fact.id)),
    async newest(kind, from = Number.POSITIVE_INFINITY) {
      const before = all.filter(each => each.kind === kind && each.at < from)
      const newest = new Set(new Map(before.map(each => [`${each.subject}\n${each.part}`, each])).values())
      return kept(kind, each => each.at >= from || newest.has(each))
    },
  }
}
