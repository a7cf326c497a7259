import type { Sensor, Shop } from '../../core/shop.js'
import type { DisturbedBy, SourceState } from '../../core/state.js'

/** ms; after its end a disturbance is named no longer than this. Judgement, no source */
const remembered = 60 * 60_000
/** nor so many times as long as it lasted. Judgement, no source */
const outlasts = 4
/** ms; shorter openings are not named afterwards. Judgement, no source */
const worthNaming = 90_000
/** ms; a vent that is open longer is how the shop is run, and no disturbance. Judgement, no source */
const longestVent = 3 * 3_600_000

interface Followed {
  state: SourceState
  /** the newest finished opening or run */
  last: { from: number; to: number } | null
}

/** Doors, vents and heat sources: whether they are open or running, since when, and what to call that. */
export class SourceBoard {
  private readonly followed = new Map<string, Followed>()

  constructor(private readonly shop: Shop) {
    this.forget()
  }

  /** Nothing is known of the sources that the shop has now. */
  forget(): void {
    this.followed.clear()
    for (const { id } of this.shop.sources)
      this.followed.set(id, { state: { source: id, active: null, since: null, temperature: null }, last: null })
  }

  /**
   * @param at ms
   * @param value °C, or of a state sensor 0 for shut or off
   * @returns true when a source's state changed
   */
  take(sensor: Sensor, at: number, value: number): boolean {
    if (sensor.at.kind !== 'source') return false
    const entry = this.followed.get(sensor.at.source)
    if (!entry) return false
    if (sensor.unit !== 'state') {
      entry.state = { ...entry.state, temperature: value }
      return false
    }
    const active = value !== 0
    if (entry.state.active === active) return false
    if (entry.state.active && entry.state.since !== null) entry.last = { from: entry.state.since, to: at }
    entry.state = { ...entry.state, active, since: at }
    return true
  }

  states(): SourceState[] {
    return [...this.followed.values()].map(({ state }) => state)
  }

  /** Doors and vents that stand open, and since when; those that were opened before `earliest` (ms) are left out. */
  open(exposedTo: readonly string[], earliest: number): { source: string; name: string; from: number }[] {
    return this.shop.sources.flatMap(({ id, name, kind }) => {
      const { active, since } = this.followed.get(id)!.state
      if (kind === 'heat source' || !active || since === null || since < earliest || !exposedTo.includes(id)) return []
      return [{ source: id, name, from: since }]
    })
  }

  /** The door or vent that disturbs a machine now or did lately; null when none is known to. @param now ms */
  disturbing(exposedTo: readonly string[], now: number): DisturbedBy | null {
    let found: (DisturbedBy & { to: number }) | null = null
    let vent: DisturbedBy | null = null
    for (const id of exposedTo) {
      const entry = this.followed.get(id)
      const source = this.shop.sources.find(s => s.id === id)
      if (!entry || !source || source.kind === 'heat source') continue
      const { state, last } = entry
      const { name } = source
      const longest = source.kind === 'vent' ? longestVent : Number.POSITIVE_INFINITY
      if (state.active && state.since !== null && now - state.since <= longest) {
        const open = { source: id, name, from: state.since, to: null }
        if (source.kind === 'door') return open
        vent ??= open
      }
      if (
        last &&
        last.to - last.from <= longest &&
        now - last.to < Math.min(remembered, outlasts * (last.to - last.from)) &&
        last.to - last.from >= worthNaming &&
        (!found || last.to > found.to)
      )
        found = { source: id, name, ...last }
    }
    return vent ?? found
  }
}
