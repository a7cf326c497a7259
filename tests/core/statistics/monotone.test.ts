import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { monotoneCurve } from '../../../core/statistics/monotone.js'

/** none, or one that doubles hold with all their digits: those near the smallest of all have hardly any */
const rises = fc.oneof(fc.constant(0), fc.double({ min: 1e-300, max: 1e3, noNaN: true }))
const steps = fc.array(fc.tuple(fc.double({ min: 1e-3, max: 1e3, noNaN: true }), rises), {
  minLength: 1,
  maxLength: 8,
})

describe('a monotone curve', () => {
  it('goes through its points and rises between them wherever they rise', () => {
    fc.assert(
      fc.property(steps, fc.boolean(), (parts, falling) => {
        const sign = falling ? -1 : 1
        const [x, y] = [[0], [0]]
        for (const [run, rise] of parts) {
          x.push(x.at(-1)! + run)
          y.push(y.at(-1)! + sign * rise)
        }
        const curve = monotoneCurve(x, y)
        const slack = 1e-12 * Math.abs(y.at(-1)!) + Number.MIN_VALUE
        for (const [i, at] of x.entries()) expect(Math.abs(curve(at) - y[i]!)).toBeLessThanOrEqual(slack)
        let before = curve(0)
        for (let k = 1; k <= 400; k++) {
          const here = curve((x.at(-1)! * k) / 400)
          expect(sign * (here - before)).toBeGreaterThanOrEqual(-slack)
          before = here
        }
      }),
      { numRuns: 300 },
    )
  })

  it('does not overshoot where points turn', () => {
    const curve = monotoneCurve([0, 1, 2, 3], [0, 1, 1, 0])
    for (let at = 0; at <= 3; at += 0.01) {
      expect(curve(at)).toBeLessThanOrEqual(1 + 1e-12)
      expect(curve(at)).toBeGreaterThanOrEqual(-1e-12)
    }
  })

  it('refuses what is no curve', () => {
    expect(() => monotoneCurve([1], [1])).toThrow('at least two')
    expect(() => monotoneCurve([1, 1], [1, 2])).toThrow('rise')
  })
})
