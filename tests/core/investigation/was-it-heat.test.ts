import fc from 'fast-check'
import { linearRegression } from 'simple-statistics'
import { describe, expect, it } from 'vitest'
import {
  type Conclusion,
  chanceLevel,
  concluded,
  examine,
  type FeatureParts,
  type HeatFinding,
  shareExplained,
} from '../../../core/investigation/index.js'
import { slopeOnPrediction } from '../../../core/investigation/share-explained.js'
import { neededParts } from '../../../core/investigation/was-it-heat.js'
import { madeFeature } from './made-up.js'

/** of one feature, where so many are looked at: the more, the less is allowed to chance (Bonferroni) */
const wasItHeat = (feature: FeatureParts, features = 1): HeatFinding =>
  concluded(examine(feature), chanceLevel / features)
const some = (count: number, first: number, heat: number) =>
  Array.from({ length: count }, (_, i) => wasItHeat(madeFeature(first + i, heat)))
const isHeat = (conclusion: Conclusion) => conclusion === 'most' || conclusion === 'part'

describe('was it heat', () => {
  it('of a hundred features of which heat makes half of the variance to nine tenths, says so of 95 or more', () => {
    const found = [0.5, 0.6, 0.7, 0.8, 0.9].flatMap((heat, k) => some(20, 70_000 + 1000 * k, heat))
    expect(found.filter(({ conclusion }) => isHeat(conclusion)).length).toBeGreaterThanOrEqual(95)
  })
  it('of a hundred features with worn tools, lots and wandering set-ups but no heat, says so of five at most', () => {
    const found = some(100, 80_000, 0)
    expect(found.filter(({ conclusion }) => isHeat(conclusion)).length).toBeLessThanOrEqual(5)
  })
  it('tells the share with an interval that holds the true one in 85 to 95 of a hundred', () => {
    const held = some(100, 90_000, 0.6).filter(
      ({ explained }) => explained!.low! <= 0.6 && explained!.high! >= 0.6,
    ).length
    expect(held).toBeGreaterThanOrEqual(85)
    expect(held).toBeLessThanOrEqual(95)
  })
  it('does not hold it against heat that the prediction is half too large, or too small by nearly half', () => {
    for (const factor of [0.6, 1.5]) {
      const off = Array.from({ length: 20 }, (_, i) => {
        const feature = madeFeature(60_000 + i, 0.7)
        return wasItHeat({
          ...feature,
          parts: feature.parts.map(part => ({ ...part, predicted: factor * part.predicted })),
        })
      })
      const mean = (of: (finding: (typeof off)[number]) => number) =>
        off.reduce((sum, each) => sum + Math.abs(0.7 - of(each)) / off.length, 0)
      // nearer to the truth than the prediction as it stands
      expect(mean(({ explained }) => explained!.value)).toBeLessThan(mean(({ asPredicted }) => asPredicted!))
      expect(off.filter(({ conclusion }) => isHeat(conclusion)).length).toBeGreaterThanOrEqual(19)
    }
  })
  it('allows for an uncertain prediction by a share that may be larger', () => {
    const feature = madeFeature(61_000, 0.6)
    const uncertain = (of: number) =>
      wasItHeat({ ...feature, parts: feature.parts.map(part => ({ ...part, uncertainty: of })) }).explained!
    const movement = wasItHeat(feature).movement!
    expect(uncertain(2 * movement).high).toBeGreaterThan(uncertain(0).high! + 0.05)
    expect(uncertain(2 * movement).value).toBe(uncertain(0).value)
  })
  it('says nothing of eight parts, and of parts that the prediction hardly moved', () => {
    const few = wasItHeat(madeFeature(5, 0.9, 8))
    expect(few.conclusion).toBe('cannot be told')
    expect(few.doubts).toContainEqual({ kind: 'too few parts', parts: 8, needed: neededParts })
    const feature = madeFeature(6, 0.9)
    const still = wasItHeat({
      ...feature,
      parts: feature.parts.map(part => ({ ...part, predicted: part.predicted / 1000 })),
    })
    expect(['cannot be told', 'not heat']).toContain(still.conclusion)
    expect(still.doubts.map(({ kind }) => kind)).toContain('too little movement')
  })
  it('asks more of each feature the more are looked at', () => {
    const { doubts } = wasItHeat(madeFeature(8, 0), 20)
    expect(doubts).toContainEqual(expect.objectContaining({ kind: 'chance', level: 0.05 / 20 }))
  })
})

describe('share and slope', () => {
  it('are 1 for deviations that are the prediction, and the slope is that of a general-purpose library (simple-statistics)', () => {
    const length = { minLength: 3, maxLength: 60 }
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: -50, max: 50 }), fc.integer({ min: -50, max: 50 })), length),
        rows => {
          fc.pre(new Set(rows.map(([predicted]) => predicted)).size > 1)
          const parts = rows.map(([predicted, deviation], at) => ({ at, predicted, deviation }))
          expect(slopeOnPrediction(parts)).toBeCloseTo(linearRegression(rows).m, 9)
          expect(shareExplained(parts.map(part => ({ ...part, deviation: part.predicted + 7 })))).toBeCloseTo(1, 9)
        },
      ),
    )
  })
})
