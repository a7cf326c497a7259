import fc from 'fast-check'
import { mean, sampleStandardDeviation } from 'simple-statistics'
import { describe, expect, it } from 'vitest'
import { gapsIn, intervalStatistics, recordSubjects } from '../../../core/environment/index.js'
import { evenly } from '../../evenly.js'
import { shop } from '../../server/http/fakes.js'

const quarter = 900_000

describe('statistics of a record', () => {
  it('have the mean and standard deviation of a general-purpose library (simple-statistics), of what is known', () => {
    const interval = fc
      .record({
        mean: evenly(-40, 120),
        half: evenly(0, 3),
      })
      .map(({ mean: m, half }) => ({ mean: m, min: m - half, max: m + half, count: 90 }))
    fc.assert(
      fc.property(fc.array(fc.option(interval), { minLength: 2, maxLength: 300 }), all => {
        const known = all.filter(each => each !== null)
        const told = intervalStatistics(all)
        expect(told).toMatchObject({ readings: 90 * known.length, known: known.length, intervals: all.length })
        if (known.length === 0) {
          expect(told).toMatchObject({ minimum: null, maximum: null, mean: null })
          return
        }
        const means = known.map(each => each.mean)
        expect(told.mean).toBeCloseTo(mean(means), 9)
        if (known.length > 1) expect(told.standardDeviation).toBeCloseTo(sampleStandardDeviation(means), 9)
        else expect(told.standardDeviation).toBeNull()
        expect(told.minimum).toBe(Math.min(...known.map(each => each.min)))
        expect(told.maximum).toBe(Math.max(...known.map(each => each.max)))
      }),
    )
  })
})

describe('gaps of a record', () => {
  it('are runs of intervals of which nothing is known, parted where the reason is another', () => {
    const known = { mean: 20, min: 20, max: 20, count: 1 }
    const all = [known, null, null, null, known, null]
    const doubted = ({ from }: { from: number }) => from === 2 * quarter
    expect(gapsIn(all, 0, quarter, doubted)).toEqual([
      { from: quarter, to: 2 * quarter, why: 'no readings' },
      { from: 2 * quarter, to: 3 * quarter, why: 'not believed' },
      { from: 3 * quarter, to: 4 * quarter, why: 'no readings' },
      { from: 5 * quarter, to: 6 * quarter, why: 'no readings' },
    ])
    expect(gapsIn([], 0, quarter, doubted)).toEqual([])
  })
})

describe('what records are kept of', () => {
  it('is machines, stated areas, and by themselves the shop air and what lies beside a source', () => {
    const hall = { ...shop.sensors[0]!, id: 'hall', at: { kind: 'shop air' as const } }
    const beside = { ...hall, id: 's-warm', at: { kind: 'source' as const, source: 'door' } }
    const wider = { ...shop, sensors: [...shop.sensors, hall, beside] }
    const ids = (of: typeof wider) => recordSubjects(of).map(({ id, judged }) => [id, judged.map(s => s.id)])
    expect(ids(wider)).toEqual([
      ['mill', ['s-air']],
      ['shop-air', ['hall']],
      ['beside-door', ['s-warm']],
    ])
    const limits = { swing: 1, statedBy: 'builder', sensors: ['s-air', 'hall'] }
    const stated = {
      ...wider,
      machines: [{ ...shop.machines[0]!, limits }],
      areas: [{ id: 'shop-air', name: 'All air', sensors: ['hall', 's-warm', 's-door'] }],
    }
    // what the file says of an area replaces what would be kept by itself; a door contact has no temperature
    expect(ids(stated)).toEqual([
      ['mill', ['s-air', 'hall']],
      ['shop-air', ['hall', 's-warm']],
      ['beside-door', ['s-warm']],
    ])
    expect(recordSubjects(stated)[0]!.sensors.map(s => s.id)).toEqual(['s-air', 's-screw', 's-column', 'hall'])
  })
})
