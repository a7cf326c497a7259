import type { UnassignedAnswer } from '../http/schemas/answers.js'

/** What a mapping of the shop file brings and no sensor of the shop has, by topic and what messages call their sensor. */
export type UnassignedTopics = UnassignedAnswer
type UnassignedTopic = UnassignedTopics['topics'][number]

/** kept; further ones are only counted */
export const unassignedKept = 500

export type Found = Omit<UnassignedTopic, 'count'>

interface UnassignedKeeper {
  found(those: readonly Found[]): void
  /** newest first */
  read(): UnassignedTopics
}

/** Counts them in memory only: what is still published shows again soon after a restart. */
export const createUnassigned = (): UnassignedKeeper => {
  const kept = new Map<string, UnassignedTopic>()
  let beyond = 0
  let count = 0
  return {
    found(those) {
      count += those.length
      for (const one of those) {
        const key = `${one.topic}\0${one.name}`
        const before = kept.get(key)
        if (before) Object.assign(before, one, { count: before.count + 1 })
        else if (kept.size < unassignedKept) kept.set(key, { ...one, count: 1 })
        else beyond += 1
      }
    },
    read: () => ({ topics: [...kept.values()].map(one => ({ ...one })).sort((a, b) => b.at - a.at), count, beyond }),
  }
}
