import type { Shop } from '../../core/shop.js'
import type { TrustChange } from '../../core/state.js'
import type { Reading } from '../../server/ingest/reading.js'
import type { Monitor } from '../../server/monitor/index.js'
import type { Series, SeriesPoint } from '../../server/store/store.js'
import { dueBodies, useIdentifications } from '../../server/studies/identification/index.js'
import { identifyingNode } from '../../server/studies/identification/node.js'
import { factsInMemory } from '../server/store/facts-in-memory.js'

/** ms */
const minute = 60_000

/** Looks for time constants in the history once a day, as the service does, and tells the monitor of them. */
export class ExamIdentification {
  private readonly facts = factsInMemory()
  private readonly minutes = new Map<string, SeriesPoint[]>()

  constructor(
    private readonly shop: Shop,
    private readonly monitor: Pick<Monitor, 'setSettling'>,
  ) {}

  take(readings: readonly Reading[]): void {
    for (const { sensor, at, value } of readings) {
      const points = this.minutes.get(sensor) ?? []
      this.minutes.set(sensor, points)
      const begin = Math.floor(at / minute) * minute
      const last = points.at(-1)
      if (last?.at !== begin) points.push({ at: begin, count: 1, mean: value, min: value, max: value })
      else {
        last.count++
        last.mean += (value - last.mean) / last.count
        last.min = Math.min(last.min, value)
        last.max = Math.max(last.max, value)
      }
    }
  }

  async takeTrust(changes: readonly TrustChange[]): Promise<void> {
    await this.facts.record('trust', changes)
  }

  /** @param now ms */
  async look(now: number): Promise<void> {
    const series = (sensor: string, from: number, to: number): Series => ({
      level: 'minute',
      points: (this.minutes.get(sensor) ?? []).filter(({ at }) => from <= at && at < to),
    })
    const store = { facts: this.facts, series }
    const read = new Map<string, Float64Array>()
    for (const { machine, node } of await dueBodies(this.shop, store, now)) {
      const looking = identifyingNode(this.shop, store, machine, node, now, read)
      let step = await looking.next()
      while (!step.done) step = await looking.next()
      await this.facts.record('identification', [step.value])
    }
    for (const machine of this.shop.machines) await useIdentifications(this.shop, store, this.monitor, machine, now)
  }
}
