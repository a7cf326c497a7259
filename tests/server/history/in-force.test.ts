import { describe, expect, it } from 'vitest'
import type { TrustChange } from '../../../core/state.js'
import { believedParts, doubtedStretches, growthOver, temperaturesOver } from '../../../server/history/index.js'
import type { Series } from '../../../server/store/store.js'
import { readingMeans } from '../../../server/studies/identification/means.js'
import { everyMinute, FakeStore, mill, now, shop } from '../http/fakes.js'
import { examples } from '../store/fact-contract.js'

const minute = 60_000
const hour = 60 * minute
const from = now - 4 * hour
const span = { from, to: now }

const found = (hours: number, trust: TrustChange['trust'], more: Partial<TrustChange> = {}): TrustChange => {
  const at = from + hours * hour
  return { sensor: 's-air', at, trust, since: at - hour, fault: null, basis: null, ...more }
}
class Recorded extends FakeStore {
  constructor(recorded: TrustChange[] = []) {
    super()
    void this.facts.record('trust', recorded)
  }
}
const frozen = { basis: { kind: 'frozen', value: 20 } } as const

describe('when a sensor was not believed', () => {
  it('begins when it was found, not when its fault began, and ends when it had earned its trust', () => {
    const changes = [
      found(1, 'suspect', frozen),
      found(2, 'suspect', { basis: { kind: 'earning', goodSince: null } }),
      found(2.5, 'ok'),
      found(3, 'lost'),
    ]
    expect(doubtedStretches(changes).get('s-air')).toEqual([
      { from: from + hour, to: from + 2.5 * hour, misled: true },
      { from: from + 3 * hour, to: Number.POSITIVE_INFINITY, misled: false },
    ])
    expect(doubtedStretches([found(1, 'ok')]).get('s-air')).toEqual([])
  })

  it('takes what was found while the clock was ahead as found no later than what came after it', () => {
    expect(doubtedStretches([found(30, 'suspect'), found(2, 'ok')]).get('s-air')).toEqual([
      { from: from + 2 * hour, to: from + 2 * hour, misled: false },
    ])
  })

  it('leaves parts of a span whose ends are whole means of what is stored', () => {
    const stretches = [
      { from: from + 10 * minute, to: from + 50 * minute, misled: false },
      { from: from + 55 * minute, to: from + 56 * minute, misled: false },
    ]
    const parts = (grid: number) =>
      believedParts(stretches, span, grid).map(part => [part.from - from, part.to - from].map(ms => ms / minute))
    expect(parts(1)).toEqual([
      [0, 10],
      [50, 55],
      [56, 240],
    ])
    expect(parts(15 * minute)).toEqual([[60, 240]])
  })
})

describe('what was in force', () => {
  it('is the offset of the moment, or of one moment throughout', async () => {
    const store = new FakeStore()
    store.kept.set(
      's-air',
      everyMinute(from, now, () => 20),
    )
    const change = { sensor: 's-air', by: 'Ada', note: '', found: null }
    await store.facts.record('offset', [
      { ...change, at: from + hour, oldOffset: 0.1, newOffset: 0.4, takesBack: null },
    ])
    await store.facts.record('offset', [
      { ...change, at: from + 3 * hour, oldOffset: 0.4, newOffset: 0.1, takesBack: 1 },
    ])
    // the shop file says something else since
    const own = { ...shop, sensors: shop.sensors.map(s => (s.id === 's-air' ? { ...s, offset: 0.2 } : s)) }
    const air = async (correctedAt?: number) => {
      const { rows } = await temperaturesOver({ shop: own, store }, mill, span, 4, correctedAt)
      return rows.map(({ nodes }) => Math.round(nodes[0]!.temperature * 100) / 100)
    }
    expect(await air()).toEqual([20.1, 20.4, 20.4, 20.2])
    expect(await air(from + 2 * hour)).toEqual([20.4, 20.4, 20.4, 20.4])
    expect(await air(now)).toEqual([20.2, 20.2, 20.2, 20.2])
  })

  it('is the factors of the moment', async () => {
    const store = new FakeStore()
    for (const id of ['s-air', 's-screw', 's-column'])
      store.kept.set(
        id,
        everyMinute(from, now, () => 22),
      )
    const signed = { machine: 'mill', by: 'Ada', note: '', shown: null }
    await store.facts.record('factors', [{ ...signed, at: from + hour, factors: { column: 2 } }])
    await store.facts.record('factors', [{ ...signed, at: from + 3 * hour, factors: null }])
    const { rows } = await growthOver({ shop, store }, mill, span, 4)
    // steel: 11.5 µm/m/K; screw 0.4 m at 22.5 °C, column 0.5 m at 22 °C
    const column = 11.5e-6 * 0.5 * 2
    const growth = rows.map(({ axes }) => axes[0]!.atWork - 11.5e-6 * 0.4 * 2.5)
    ;[column, 2 * column, 2 * column, column].forEach((expected, i) => {
      expect(growth[i]).toBeCloseTo(expected, 12)
    })
  })

  it('is the time constant that was identified then, for a body that no sensor is on', async () => {
    const store = new FakeStore()
    // the air steps from 20 to 30 °C at the beginning
    const air = everyMinute(from - 24 * hour, now, at => (at < from ? 20 : 30))
    store.kept.set('s-air', air)
    const bed = { ...mill.nodes[1]!, id: 'bed', timeConstant: 3600, required: false }
    const machine = { ...mill, nodes: [...mill.nodes, bed] }
    const last = async () => {
      const { rows } = await temperaturesOver({ shop, store }, machine, span, 8)
      return rows.map(({ nodes }) => nodes[3]!.temperature)
    }
    const reached = (hours: number, timeConstant: number) => 30 - 10 * Math.exp(-hours / timeConstant)
    expect((await last())[3]).toBeCloseTo(reached(1.75, 1), 1)
    const identified = { ...examples.identification(0), machine: 'mill', node: 'bed', steadyExcess: 0 }
    // the one of another day is not of this one
    await store.facts.record('identification', [{ ...identified, at: now + hour, timeConstant: 4 * 3600 }])
    expect((await last())[3]).toBeCloseTo(reached(1.75, 1), 1)
    await store.facts.record('identification', [{ ...identified, at: from - hour, timeConstant: 4 * 3600 }])
    expect((await last())[3]).toBeCloseTo(reached(1.75, 4), 1)
  })
})

describe('what was not believed', () => {
  const quarters = (value: (at: number) => number): Series => ({
    level: 'quarter hour',
    points: Array.from({ length: 16 }, (_, i) => {
      const at = from + i * 15 * minute
      return { at, count: 15, mean: value(at), min: value(at), max: value(at) }
    }),
  })

  it('is in no stored mean that is taken, however coarse', async () => {
    const store = new Recorded([found(1.1, 'suspect', frozen), found(2.1, 'ok')])
    // what was not believed read 5 K more, and the quarters at its edges hold some of it
    store.kept.set(
      's-air',
      quarters(at => (at >= from + hour && at < from + 2.25 * hour ? 25 : 20)),
    )
    for (const points of [16, 200]) {
      const { rows } = await temperaturesOver({ shop, store }, mill, span, points)
      expect(rows.map(({ at }) => (at - from) / hour)).toEqual([
        0, 0.25, 0.5, 0.75, 2.25, 2.5, 2.75, 3, 3.25, 3.5, 3.75,
      ])
      for (const { nodes } of rows) expect(nodes[0]!.temperature).toBe(20)
    }
  })

  it('lets the prediction of a body begin anew where what it follows had told something false', async () => {
    const bed = { ...mill.nodes[1]!, id: 'bed', timeConstant: 4 * 3600, required: false }
    const machine = { ...mill, nodes: [...mill.nodes, bed] }
    const bedAt = async (store: FakeStore) => {
      store.kept.set(
        's-air',
        everyMinute(from - 24 * hour, now, at => (at < from + 2 * hour ? 20 : 30)),
      )
      const { rows } = await temperaturesOver({ shop, store }, machine, span, 16)
      return rows.find(({ at }) => at === from + 2.25 * hour)!.nodes[3]!
    }
    const misled = await bedAt(new Recorded([found(1, 'suspect', frozen), found(2, 'ok')]))
    expect(misled.temperature).toBeCloseTo(30, 1)
    // K; as unsure as a prediction that began 22.5 minutes ago
    expect(misled.placement).toBeGreaterThan(1.3 * Math.exp(-22.5 / 240))
    const silent = await bedAt(new Recorded([found(1, 'lost'), found(2, 'ok')]))
    expect(silent.temperature).toBeLessThan(23)
    expect(silent.placement).toBeLessThan(0.8)
  })

  it('is not what time constants are identified from', async () => {
    const series = everyMinute(from, now, () => 20)
    const store = {
      series: (_: string, begin: number, end: number) => ({
        ...series,
        points: series.points.filter(p => p.at >= begin && p.at < end),
      }),
    }
    const doubted = [{ from: from + hour, to: from + 2 * hour, misled: false }]
    const reading = readingMeans(store, shop.sensors[0]!, span, doubted)
    let step = await reading.next()
    while (!step.done) step = await reading.next()
    const known = [...step.value.values].map(value => (Number.isNaN(value) ? 0 : 1))
    expect(known.slice(0, 12)).toEqual(Array(12).fill(1))
    expect(known.slice(12, 24)).toEqual(Array(12).fill(0))
    expect(known.slice(24)).toEqual(Array(24).fill(1))
  })
})
