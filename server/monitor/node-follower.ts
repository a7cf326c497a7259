import {
  correct,
  type NodeEstimate,
  type ObserverSettings,
  predict,
  startFollowing,
} from '../../core/settling/index.js'
import type { Node } from '../../core/shop.js'
import { median } from '../../core/statistics/index.js'
import { History } from './history.js'

/** K; noise and resolution of a usual sensor */
const noise = 0.05
/** s; after a longer gap a body is followed anew */
const longestGap = 3600

/** Follows one node through its readings. */
export class NodeFollower {
  /** newest believed reading, ms */
  at: number | null = null
  /** minute means, for the rate */
  readonly minutes = new History(60_000, 60)
  /** five-minute means of a day, for what is ordinary */
  readonly day = new History(300_000, 288)
  private estimate: NodeEstimate | null = null
  private readonly recent: number[] = []

  constructor(readonly node: Node) {}

  private get settings(): ObserverSettings {
    return { timeConstant: this.node.timeConstant ?? 3600, steadyExcess: this.node.steadyExcess ?? 0, noise }
  }

  /** @param surroundings temperature of what the node follows, °C; null for air, coolant, or when unknown */
  take(at: number, value: number, surroundings: number | null): void {
    if (this.at !== null && at < this.at) return
    this.at = at
    this.minutes.add(at, value)
    this.day.add(at, value)
    if (this.node.kind !== 'body') {
      this.recent.push(value)
      if (this.recent.length > 3) this.recent.shift()
      return
    }
    if (surroundings === null) return
    if (!this.estimate || at - this.estimate.at > longestGap * 1000) {
      this.estimate = startFollowing(at, value, this.settings)
      return
    }
    this.estimate = correct(predict(this.estimate, surroundings, at, this.settings), value, this.settings)
  }

  /** °C; the median of the last three readings for air and coolant, so that one bad reading moves nothing */
  temperature(): number | null {
    if (this.node.kind === 'body') return this.estimate?.temperature ?? null
    return this.recent.length ? median(this.recent) : null
  }

  /** The body's estimate carried forward to a moment, ms. */
  estimateAt(now: number, surroundings: number): NodeEstimate | null {
    return this.estimate && predict(this.estimate, surroundings, now, this.settings)
  }
}
