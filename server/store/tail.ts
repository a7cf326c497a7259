import type { Readings } from './block.js'
import { hour } from './keys.js'
import { joined, noReadings, within } from './readings-of.js'
import { Unsealed } from './unsealed.js'

/** How far a round of sealing has come: sensor by sensor in order of their numbers, each hour by hour. */
export interface Progress {
  /** the last group of the journal that the round takes in */
  through: number
  /** sealed are all sensors before this one, and of this one all hours up to the one that begins at `hour` (ms) */
  sensor: number
  hour: number
}

/** the number of no sensor: everything is sealed */
export const everySensor = 2 ** 40

/** What is not sealed yet: what a round of sealing is at, and what came since it began. */
export class Tail {
  current = new Unsealed()
  /** null between rounds */
  round: Unsealed | null = null

  constructor(public progress: Progress) {}

  /** true for a reading of the round that lies in its block already */
  isSealed(sensor: number, at: number): boolean {
    const { progress } = this
    return sensor < progress.sensor || (sensor === progress.sensor && at < progress.hour + hour)
  }

  has(sensor: number, at: number): boolean {
    return (
      this.current.has(sensor, at) || (this.round !== null && !this.isSealed(sensor, at) && this.round.has(sensor, at))
    )
  }

  of(sensor: number, from: number, to: number): Readings {
    const since = this.current.of(sensor, from, to)
    return joined(this.ofRound(sensor, from, to), since)
  }

  /** ms; the first hour from `time` on that may have readings */
  nextHour(time: number): number | undefined {
    let first: number | undefined
    for (const unsealed of [this.current, this.round])
      for (const begin of unsealed?.hours() ?? [])
        if (begin + hour > time && (first === undefined || begin < first)) first = begin
    return first
  }

  get size(): number {
    return this.current.size + (this.round?.size ?? 0)
  }

  private ofRound(sensor: number, from: number, to: number): Readings {
    if (this.round === null || sensor < this.progress.sensor) return noReadings
    const all = this.round.of(sensor, from, to)
    return sensor === this.progress.sensor ? within(all, this.progress.hour + hour, Number.POSITIVE_INFINITY) : all
  }
}
