/** A topic, or a name within it, that a mapping of the shop file brings and no sensor of the shop has. */
interface UnassignedTopic {
  topic: string
  /** what the message calls its sensor, as the mapping reads it; empty when nothing names one */
  name: string
  /** messages or items of messages since the start of the service */
  count: number
  /** ms since 1970, the newest */
  at: number
  /** the beginning of the newest, printable */
  sample: string
}

export interface UnassignedTopics {
  topics: UnassignedTopic[]
  /** messages, or items of messages, on all topics together */
  count: number
  /** messages on further ones, when more than can be kept have come */
  beyond: number
}

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
