import type { ProtocolVersion } from './connection.js'
import type { Refusal } from './reading.js'

/** Counted since the start of the service. */
export interface IngestStatistics {
  broker: 'connected' | 'away'
  /** spoken with the broker */
  mqtt: '5' | '3.1.1'
  /** messages, however they ended; those sent again count again */
  received: number
  /** readings that were new */
  stored: number
  /** readings that were there already */
  duplicate: number
  /** parts of messages refused, by reason */
  refused: Record<string, number>
  /** messages received and not yet committed */
  waiting: number
  /** how often the broker was reached again after the first time */
  reconnects: number
  /** groups that could not be stored; the broker sends them again */
  failedCommits: number
  /** ms since 1970 */
  lastCommit: number | null
}

export interface StatisticsKeeper {
  received(waiting: number): void
  committed(at: number, taken: number, fresh: number, refusals: readonly Refusal[]): void
  commitFailed(): void
  /** the broker has answered */
  session(version: ProtocolVersion): void
  broker(state: IngestStatistics['broker']): void
  read(): IngestStatistics
}

export const createStatistics = (): StatisticsKeeper => {
  const counted: IngestStatistics = {
    broker: 'away',
    mqtt: '5',
    received: 0,
    stored: 0,
    duplicate: 0,
    refused: {},
    waiting: 0,
    reconnects: -1,
    failedCommits: 0,
    lastCommit: null,
  }
  return {
    received(waiting) {
      counted.received += 1
      counted.waiting = waiting
    },
    committed(at, taken, fresh, refusals) {
      counted.stored += fresh
      counted.duplicate += taken - fresh
      for (const { reason } of refusals) counted.refused[reason] = (counted.refused[reason] ?? 0) + 1
      counted.waiting = 0
      counted.lastCommit = at
    },
    commitFailed() {
      counted.failedCommits += 1
      counted.waiting = 0
    },
    session(version) {
      counted.reconnects += 1
      counted.mqtt = version === 5 ? '5' : '3.1.1'
    },
    broker(state) {
      counted.broker = state
    },
    read: () => ({ ...counted, reconnects: Math.max(0, counted.reconnects), refused: { ...counted.refused } }),
  }
}

/** Its counters as `/metrics` names them. */
export const countersOf = (stats: IngestStatistics): Record<string, number> => ({
  received: stats.received,
  stored: stats.stored,
  duplicate: stats.duplicate,
  ...Object.fromEntries(Object.entries(stats.refused).map(([reason, count]) => [`refused: ${reason}`, count])),
  reconnects: stats.reconnects,
  'failed commits': stats.failedCommits,
})
