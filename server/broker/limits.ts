/** What the embedded broker takes; what is beyond is refused and counted. It serves a small shop, in the service's memory. */
export const limits = {
  /** bytes of one packet, for instance a message with its topic */
  packet: 256 * 1024,
  /** connections at once */
  connections: 200,
  /** clients for which messages are kept while they are away */
  sessions: 200,
  /** kept for one client that is away; twice as many for one that is there and does not acknowledge */
  queue: { messages: 50_000, bytes: 16 * 1024 * 1024 },
  /** bytes kept for all clients together */
  queues: 64 * 1024 * 1024,
  /** topics with a retained message, and bytes of them all */
  retained: { messages: 5000, bytes: 16 * 1024 * 1024 },
  /** messages of one client under way to the broker at QoS 2, or sent before it was let in */
  underWay: 10,
}

export type Limits = typeof limits

/** Fixed phrases, so that they can be counted. */
export const refusals = {
  packet: 'packet too large',
  connection: 'too many connections',
  session: 'too many clients with a session',
  queue: 'queue of a client full',
  retained: 'too much retained',
} as const

export type BrokerRefusal = (typeof refusals)[keyof typeof refusals]

export interface RefusalCounter {
  count(reason: BrokerRefusal, whose: string): void
  read(): Partial<Record<BrokerRefusal, number>>
}

/** ms; a refusal that goes on is logged no more often */
const sayAgain = 60_000

/** @param warn for the log */
export const createRefusalCounter = (warn: (text: string) => void): RefusalCounter => {
  const counts = new Map<BrokerRefusal, number>()
  const said = new Map<BrokerRefusal, number>()
  return {
    count(reason, whose) {
      const count = (counts.get(reason) ?? 0) + 1
      counts.set(reason, count)
      const now = performance.now()
      if (now - (said.get(reason) ?? Number.NEGATIVE_INFINITY) < sayAgain) return
      said.set(reason, now)
      warn(
        `The embedded broker refused something of ${whose.slice(0, 100)}: ${reason}, ${count} times so far. It is for small ` +
          'shops and trials; a shop that needs more runs a broker of its own.',
      )
    },
    read: () => Object.fromEntries(counts),
  }
}
