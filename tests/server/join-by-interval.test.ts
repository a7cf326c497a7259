import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { joinByInterval } from '../../server/join-by-interval.js'
import type { SeriesPoint } from '../../server/store/store.js'
import { evenly } from '../evenly.js'

const point = (at: number, mean: number, count = 1): SeriesPoint => ({ at, count, mean, min: mean - 1, max: mean + 1 })

describe('joinByInterval', () => {
  it('weights means by count and keeps extremes', () => {
    expect(joinByInterval([point(0, 10, 1), point(60, 20, 3), point(120, 5)], 100)).toEqual([
      { at: 0, count: 4, mean: 17.5, min: 9, max: 21 },
      { at: 100, count: 1, mean: 5, min: 4, max: 6 },
    ])
  })
  it('leaves out intervals without a reading, and points without one', () => {
    expect(joinByInterval([point(0, 1), point(500, 2), point(600, Number.NaN), point(700, 3, 0)], 100)).toEqual([
      point(0, 1),
      point(500, 2),
    ])
  })
  it('changes nothing it was given', () => {
    const given = [point(10, 1), point(20, 2)]
    joinByInterval(given, 100)
    expect(given).toEqual([point(10, 1), point(20, 2)])
  })
  it('keeps the number of readings and their overall mean, whatever they are', () => {
    const points = fc.array(
      fc.record({
        gap: fc.nat(500),
        mean: evenly(-50, 50),
        count: fc.integer({ min: 1, max: 90 }),
      }),
    )
    fc.assert(
      fc.property(points, fc.integer({ min: 1, max: 2000 }), (steps, width) => {
        let at = 1_000_000
        const series = steps.map(({ gap, mean, count }) => {
          at += gap
          return point(at, mean, count)
        })
        const joined = joinByInterval(series, width)
        const sum = (list: SeriesPoint[], of: (p: SeriesPoint) => number) => list.reduce((s, p) => s + of(p), 0)
        expect(sum(joined, p => p.count)).toBe(sum(series, p => p.count))
        expect(sum(joined, p => p.count * p.mean)).toBeCloseTo(
          sum(series, p => p.count * p.mean),
          4,
        )
        expect(new Set(joined.map(p => p.at)).size).toBe(joined.length)
      }),
    )
  })
})
