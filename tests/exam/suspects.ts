import type { TrustChange } from '../../core/state.js'
import type { PlannedFault } from '../../simulators/index.js'

/** ms; a mended sensor may take so long to earn its trust back */
const earning = 6 * 3_600_000

export interface SuspectsRecord {
  /** months (30 days) of sensors without a fault */
  sensorMonths: number
  /** healthy sensors that became suspect, each time */
  falseSuspects: { sensor: string; at: number; kind: string; hours: number | null }[]
  /** planned faults: min until the sensor was believed no longer; null when it was believed until it was mended */
  faults: { kind: PlannedFault['kind']; foundAfter: number | null }[]
}

/** Notes which sensors are believed, against which are in order. */
export class Suspects {
  private readonly since = new Map<string, { at: number; kind: string }>()
  private readonly falseSuspects: SuspectsRecord['falseSuspects'] = []
  private readonly found = new Map<PlannedFault, number>()

  /** @param from ms; faults are planned from here */
  constructor(
    private readonly from: number,
    private readonly faults: readonly PlannedFault[],
  ) {}

  take(changes: readonly TrustChange[]): void {
    for (const { sensor, at, trust, fault } of changes) {
      const seconds = (at - this.from) / 1000
      const planned = this.faults.find(f => f.sensor === sensor && f.from <= seconds && seconds < f.to)
      if (planned && trust !== 'ok' && !this.found.has(planned)) this.found.set(planned, seconds - planned.from)
      const before = this.since.get(sensor)
      if (before && trust === 'ok') {
        this.since.delete(sensor)
        const open = this.falseSuspects.find(s => s.sensor === sensor && s.at === before.at)
        if (open) open.hours = (at - before.at) / 3_600_000
      }
      if (trust !== 'suspect' || before) continue
      this.since.set(sensor, { at, kind: fault?.kind ?? '' })
      const near = this.faults.some(f => f.sensor === sensor && f.from <= seconds && seconds < f.to + earning / 1000)
      if (!near) this.falseSuspects.push({ sensor, at, kind: fault?.kind ?? '', hours: null })
    }
  }

  /** @param sensors how many there are; @param days that they were watched */
  record(sensors: number, days: number): SuspectsRecord {
    return {
      sensorMonths: (sensors * days) / 30,
      falseSuspects: this.falseSuspects,
      faults: this.faults.map(fault => {
        const after = this.found.get(fault)
        return { kind: fault.kind, foundAfter: after === undefined ? null : after / 60 }
      }),
    }
  }
}
