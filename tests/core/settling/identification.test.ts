import { describe, expect, it } from 'vitest'
import { type Identification, identificationInUse } from '../../../core/settling/index.js'

const day = 86_400_000
const fortnight = 14 * day

const found = (onDay: number, timeConstant: number, more: Partial<Identification> = {}): Identification => ({
  id: onDay,
  machine: 'mill',
  node: 'screw',
  at: onDay * day,
  from: onDay * day - fortnight,
  to: onDay * day,
  follows: 'air',
  bestAir: 'air',
  advantage: 0,
  sensors: 'a b',
  accepted: true,
  timeConstant,
  uncertainty: 0.07,
  standardError: 0.02,
  steadyExcess: 0,
  fastShare: 0,
  covered63: timeConstant,
  hours: 336,
  moved: 1,
  residualCorrelation: 0,
  refusal: null,
  tooLittle: false,
  ...more,
})

const uncertaintyOf = (...newestFirst: Identification[]) => identificationInUse(newestFirst, 'a b')!.uncertainty!

/** Standard normal numbers (Park and Miller 1988; sums of twelve uniform ones). */
const normalFrom = (seed: number) => {
  let state = seed
  const uniform = () => {
    state = (state * 48_271) % 2_147_483_647
    return state / 2_147_483_647
  }
  return () => Array.from({ length: 12 }, uniform).reduce((sum, u) => sum + u, -6)
}

describe('the identification in use', () => {
  it('is as uncertain as it states while it is the only one, or agrees with those before', () => {
    expect(uncertaintyOf(found(28, 3600))).toBe(0.07)
    expect(uncertaintyOf(found(28, 3600), found(14, 3700))).toBe(0.07)
  })

  it('is at least as uncertain as those before it scatter', () => {
    const apart = Math.log(3600 / 2400)
    expect(uncertaintyOf(found(28, 3600), found(14, 2400))).toBeCloseTo(apart / Math.SQRT2, 9)
    // half of what these two come from is common
    expect(uncertaintyOf(found(28, 3600), found(21, 2400))).toBeCloseTo(apart, 9)
  })

  it('takes no others for repeats: of yesterday, of other sensors, not accepted', () => {
    const other = { timeConstant: 2000, sensors: 'a c' }
    expect(uncertaintyOf(found(28, 3600), found(27, 2400))).toBe(0.07)
    expect(uncertaintyOf(found(28, 3600), found(14, 2000, other))).toBe(0.07)
    expect(uncertaintyOf(found(28, 3600), found(14, 2000, { accepted: false, tooLittle: true }))).toBe(0.07)
  })

  it('goes on standing while later histories tell too little, and not once one contradicts it', () => {
    const little = found(35, 1000, { accepted: false, tooLittle: true })
    expect(identificationInUse([little, found(28, 3600)], 'a b')!.timeConstant).toBe(3600)
    expect(identificationInUse([found(35, 1000, { accepted: false }), found(28, 3600)], 'a b')).toBeNull()
    expect(identificationInUse([found(35, 3600, { sensors: 'a c' }), found(28, 3600)], 'a b')).toBeNull()
  })

  it('comes true on the next repeat as often as it states, where each fit alone states a fourth of it', () => {
    const normal = normalFrom(4711)
    const z = Array.from({ length: 400 }, () => {
      const repeats = Array.from({ length: 7 }, (_, k) => found(98 - 14 * k, 3600 * Math.exp(0.28 * normal())))
      const [next, newest] = repeats
      return Math.log(next!.timeConstant! / newest!.timeConstant!) / (Math.SQRT2 * uncertaintyOf(...repeats.slice(1)))
    })
    const rms = Math.sqrt(z.reduce((sum, each) => sum + each ** 2, 0) / z.length)
    expect(rms).toBeGreaterThan(0.8)
    expect(rms).toBeLessThan(1.4)
  })
})
