import fc from 'fast-check'
import { median as referenceMedian } from 'simple-statistics'
import { describe, expect, it } from 'vitest'
import { median, theilSenSlope } from '../../../core/statistics/index.js'

describe('median', () => {
  it('agrees with simple-statistics', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ noNaN: true, min: -1e6, max: 1e6 }), { minLength: 1 }), values => {
        expect(median(values)).toBeCloseTo(referenceMedian(values), 6)
      }),
      { seed: 1, numRuns: 200 },
    )
  })
  it('agrees with sorting where values are equal, whatever their order', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 9 }), { minLength: 1, maxLength: 60 }), values => {
        expect(median(values)).toBe(referenceMedian(values))
      }),
      { seed: 2, numRuns: 500 },
    )
  })
  it('leaves what it is given as it was', () => {
    const values = [3, 1, 2]
    median(values)
    expect(values).toEqual([3, 1, 2])
  })
  it('of nothing, or of something unknown, is unknown', () => {
    expect(median([])).toBeNaN()
    expect(median([1, Number.NaN, 3, 4])).toBeNaN()
  })
})

describe('Theil–Sen slope', () => {
  it("gives Sen's worked example: 4 (Sen 1968, J. Am. Stat. Assoc. 63, 1379)", () => {
    expect(theilSenSlope([1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78])).toBe(4)
  })
  it('is not moved by one bad value', () => {
    const x = [0, 1, 2, 3, 4, 5, 6]
    expect(theilSenSlope(x, [0, 2, 4, 99, 8, 10, 12])).toBe(2)
  })
})
