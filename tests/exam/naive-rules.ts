import type { Shop } from '../../core/shop.js'
import type { MachineState } from '../../core/state.js'

/** What a shop goes by that has no such service: limits on a thermometer, and the wait until nothing moves. */
export const ruleNames = ['air 20 ± 1 °C and still', 'bodies still'] as const
export type Rule = (typeof ruleNames)[number]
export type RuleWord = 'fit' | 'not fit' | 'unknown'

/** ms; still is what has moved less than so much (K) within so long; common practice, no source */
const watched = 3_600_000
const stillAir = 0.5
const stillBody = 0.3
const band = { middle: 20, half: 1 }

/** Says of each machine what the naive rules would, from the same sensors. Fed at least every quarter of an hour. */
export class NaiveRules {
  private readonly seen = new Map<string, MachineState[]>()

  constructor(private readonly shop: Shop) {}

  note(state: MachineState): void {
    const seen = this.seen.get(state.machine) ?? []
    this.seen.set(state.machine, seen)
    seen.push(state)
    while (seen[0]!.at < state.at - watched) seen.shift()
  }

  says(id: string): Record<Rule, RuleWord> {
    const machine = this.shop.machines.find(m => m.id === id)!
    const seen = this.seen.get(id) ?? []
    const isStill = (kind: 'air' | 'body', limit: number): RuleWord => {
      const measured = machine.nodes.filter(
        node =>
          node.kind === kind &&
          this.shop.sensors.some(s => s.at.kind === 'node' && s.at.machine === id && s.at.node === node.id),
      )
      if (seen.length < 2 || measured.length === 0) return 'unknown'
      for (const { id: node } of measured) {
        const values = seen.map(s => s.nodes.find(n => n.node === node)?.temperature ?? Number.NaN)
        if (values.some(Number.isNaN)) return 'unknown'
        if (Math.max(...values) - Math.min(...values) > limit) return 'not fit'
        if (kind === 'air' && Math.abs(values.at(-1)! - band.middle) > band.half) return 'not fit'
      }
      return 'fit'
    }
    return { 'air 20 ± 1 °C and still': isStill('air', stillAir), 'bodies still': isStill('body', stillBody) }
  }
}
