import type { Shop } from '../../core/shop.js'
import type { TrustChange } from '../../core/state.js'
import type { Reading } from '../../server/ingest/reading.js'
import type { Monitor } from '../../server/monitor/index.js'
import { dueBodies, identificationsOf, useIdentifications } from '../../server/studies/identification/index.js'
import type { SensorMeans } from '../../server/studies/identification/means.js'
import { identifyingNode } from '../../server/studies/identification/node.js'
import { factsInMemory } from '../server/store/facts-in-memory.js'
import { Minutes } from './minutes.js'

/** Looks for time constants in the history once a day, as the service does, and tells the monitor of them. */
export class ExamIdentification {
  private readonly facts = factsInMemory()
  private readonly minutes = new Minutes()

  constructor(
    private readonly shop: Shop,
    private readonly monitor: Pick<Monitor, 'setSettling'>,
  ) {}

  take(readings: readonly Reading[]): void {
    this.minutes.take(readings)
  }

  async takeTrust(changes: readonly TrustChange[]): Promise<void> {
    await this.facts.record('trust', changes)
  }

  /** @param now ms */
  async look(now: number): Promise<void> {
    const store = { facts: this.facts, series: this.minutes.series.bind(this.minutes) }
    const read = new Map<string, SensorMeans>()
    for (const { machine, node } of await dueBodies(this.shop, store, now)) {
      const looking = identifyingNode(this.shop, store, machine, node, now, read)
      let step = await looking.next()
      while (!step.done) step = await looking.next()
      await this.facts.record('identification', [step.value])
    }
    for (const machine of this.shop.machines)
      useIdentifications(this.monitor, machine.id, await identificationsOf(this.shop, store, machine, now))
  }
}
