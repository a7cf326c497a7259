import { describe, expect, it } from 'vitest'
import type { FaultKind } from '../../../simulators/index.js'
import { demoShop } from '../../demo-shop.js'
import { followed } from '../../followed.js'
import { faultOf } from '../../in-words.js'

const from = Date.UTC(2026, 0, 12, 5)
const hour = 3600_000

interface Fault {
  sensor: string
  kind: FaultKind
}
interface Sighting {
  /** h after the start */
  at: number
  sensor: string
  reason: string
}

/**
 * The simulator's demo shop through decoder and monitor, a reading a minute; from an hour on with faults.
 *
 * @returns every moment a sensor became suspect or was lost
 */
const live = (hours: number, seed: number, faults: readonly Fault[] = [], begin = 8): Sighting[] => {
  // what is believed depends on no kind of work
  const shop = { ...demoShop(), workClasses: [] }
  const { simulated, monitor, until } = followed(shop, { seed, start: from, scenario: 'demo' }, 60, 60_000)
  const seen: Sighting[] = []
  const before = new Map<string, string>()
  monitor.onChange(({ sensors }) => {
    for (const state of sensors) {
      const { sensor, trust } = state
      if (trust !== before.get(sensor) && (trust === 'suspect' || (trust === 'lost' && before.has(sensor))))
        seen.push({ at: (simulated.time() - from) / hour, sensor, reason: faultOf(state) })
      before.set(sensor, trust)
    }
  })
  until(from + begin * hour)
  for (const { sensor, kind } of faults) simulated.fault(sensor, kind)
  until(from + hours * hour)
  return seen
}

describe('sensors of the simulated demo shop', () => {
  it('that fail are found out, and nobody else is blamed', () => {
    // h, and what is said; on the first day. What falls off, drifts or strays shows once it is known what is usual
    const expected: Record<string, { kind: FaultKind; within: number; says: RegExp }> = {
      'mill-1-x-screw': { kind: 'frozen', within: 3, says: /same value/ },
      'mill-2-x-screw': { kind: 'spike', within: 2, says: /isolated spikes/ },
      'mill-4-air': { kind: 'power-on', within: 0.1, says: /85 °C/ },
      'lathe-1-bed': { kind: 'unplugged', within: 0.5, says: /silent/ },
    }
    const faults = Object.entries(expected).map(([sensor, { kind }]) => ({ sensor, kind }))
    const seen = live(21, 5, faults)
    for (const [sensor, { within, says }] of Object.entries(expected)) {
      const first = seen.find(s => s.sensor === sensor)
      expect(first?.reason, sensor).toMatch(says)
      expect(first!.at, sensor).toBeGreaterThanOrEqual(8)
      expect(first!.at, sensor).toBeLessThanOrEqual(8 + within)
    }
    expect(seen.filter(s => !(s.sensor in expected))).toEqual([])
  })

  it('that are healthy are believed for three days, door, night, working hours and all; one that then falls off, its habits being known, is found within two hours', () => {
    const begin = 3 * 24 + 8
    const seen = live(begin + 13, 5, [{ sensor: 'mill-5-x-screw', kind: 'fell-off' }], begin)
    expect(seen.filter(({ at }) => at < begin)).toEqual([])
    expect(seen.map(({ sensor }) => sensor)).toContain('mill-5-x-screw')
    expect(seen.filter(({ sensor }) => sensor !== 'mill-5-x-screw')).toEqual([])
    expect(seen[0]!.reason).toMatch(/to the air's temperature|movement of the air/)
    expect(seen[0]!.at).toBeLessThanOrEqual(begin + 2)
  })
})
