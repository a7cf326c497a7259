import { describe, expect, it } from 'vitest'
import { hallTerms } from '../../../core/shop-model/hall.js'
import { addedWithMisfit, isRough, shareWithMisfit } from '../../../core/shop-model/misfit.js'

/** Share of a cause whose course is `k` times another one, of a movement; both by their courses. */
const shareOf = (movement: readonly number[], effect: readonly number[], k: number): number => {
  const squares = (values: readonly number[]) => values.reduce((sum, value) => sum + value * value, 0)
  return 1 - squares(movement.map((value, i) => value - k * effect[i]!)) / squares(movement)
}
const sharp = (likely: number) => ({ likely, low: likely, high: likely })

describe('the interval of a share', () => {
  const movement = Array.from({ length: 200 }, (_, i) => Math.sin(i / 9) + 0.4 * Math.cos(i / 4))
  const effect = movement.map((value, i) => 0.5 * value + 0.3 * Math.sin(i / 3))
  const size = (values: readonly number[]) => Math.sqrt(values.reduce((sum, value) => sum + value * value, 0))
  const [share, of] = [shareOf(movement, effect, 1), size(effect) / size(movement)]

  it('holds the share of a cause that did more or less by what its kind is off by', () => {
    for (const [kind, off] of [
      ['door', 0.4],
      ['vent', 0.5],
      ['outdoors', 0.8],
    ] as const) {
      const { low, high } = shareWithMisfit(sharp(share), of, [kind])
      for (const k of [1 - off, 1 + off]) {
        const then = shareOf(movement, effect, k)
        expect(then).toBeGreaterThanOrEqual(low)
        expect(then).toBeLessThanOrEqual(high)
      }
    }
  })
  it('is as wide as the least sure of several causes, and never narrower than days tell', () => {
    const days = { likely: 0.3, low: -0.4, high: 0.9 }
    const alone = shareWithMisfit(days, 0.5, ['door'])
    const together = shareWithMisfit(days, 0.5, ['door', 'outdoors'])
    expect(alone.low).toBeLessThan(days.low)
    expect(alone.high).toBeGreaterThan(days.high)
    expect(together.high - together.low).toBeGreaterThan(alone.high - alone.low)
    expect(together).toEqual(shareWithMisfit(days, 0.5, ['outdoors']))
  })
  it('of a cause that is told to have done nothing reaches as far as its kind may hide', () => {
    expect(shareWithMisfit(sharp(0), 0, ['vent']).high).toBeGreaterThan(shareWithMisfit(sharp(0), 0, ['door']).high)
    expect(addedWithMisfit(sharp(0), 2e-6, ['vent'])).toEqual({ likely: 0, low: 0, high: 0.4e-6 })
  })
})

it('a figure is told of a heat source where every drawing of some hall leaves it a gain, of doors always, of vents never', () => {
  const hall = (gains: readonly number[]) => ({
    ...{ place: 'hall', sources: ['oven'], neighbours: [], weekdays: [], values: [], memory: 0, explained: 0, days: 9 },
    drawn: gains.map(gain => [...hallTerms.map(() => 1), gain]),
  })
  expect(isRough({ halls: [hall([0, 0, 2]), hall([1, 2, 2])] }, 'oven', 'heat source')).toBe(false)
  expect(isRough({ halls: [hall([0, 0, 2])] }, 'oven', 'heat source')).toBe(true)
  expect(isRough({ halls: [hall([1, 2, 2])] }, 'compressor', 'heat source')).toBe(true)
  expect(isRough({ halls: [] }, 'dock', 'door')).toBe(false)
  expect(isRough({ halls: [hall([1, 2, 2])] }, 'oven', 'vent')).toBe(true)
})
