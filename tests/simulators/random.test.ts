import { mean, standardDeviation } from 'simple-statistics'
import { expect, it } from 'vitest'
import { createWander, randomStream } from '../../simulators/random.js'

const draw = (count: number, next: () => number): number[] => Array.from({ length: count }, next)

it('the same seed and name give the same numbers, another seed or name others', () => {
  const first = draw(50, randomStream(7, 'weather').uniform)
  expect(draw(50, randomStream(7, 'weather').uniform)).toEqual(first)
  expect(draw(50, randomStream(8, 'weather').uniform)).not.toEqual(first)
  expect(draw(50, randomStream(7, 'doors').uniform)).not.toEqual(first)
})

it('uniform numbers fill 0..1 evenly', () => {
  const values = draw(100_000, randomStream(1, 'even').uniform)
  const bins = new Array<number>(10).fill(0)
  for (const value of values) bins[Math.floor(value * 10)]!++
  // chi-square with 9 degrees of freedom stays under 27.88 in 999 of 1000 cases (table of the distribution; from memory)
  const chiSquare = bins.reduce((sum, count) => sum + (count - 10_000) ** 2 / 10_000, 0)
  expect(chiSquare).toBeLessThan(27.88)
})

it('normal numbers have mean 0, deviation 1 and the tails of the normal distribution', () => {
  const values = draw(100_000, randomStream(2, 'normal').normal)
  expect(Math.abs(mean(values))).toBeLessThan(4 / Math.sqrt(100_000))
  expect(standardDeviation(values)).toBeCloseTo(1, 2)
  // 4.55 % lie beyond two deviations (common practice, no source)
  expect(values.filter(value => Math.abs(value) > 2).length / 100_000).toBeCloseTo(0.0455, 2)
})

it('bounded numbers never leave their bounds', () => {
  const random = randomStream(3, 'bounded')
  expect(Math.max(...draw(10_000, () => Math.abs(random.bounded(2))))).toBeLessThanOrEqual(2)
})

it('a wander keeps its spread and forgets as fast as it should, whatever the step', () => {
  for (const step of [10, 60]) {
    const wander = createWander(randomStream(4, `wander/${step}`), 3, 600)
    const values = draw(40_000, () => wander.advance(step))
    expect(standardDeviation(values)).toBeGreaterThan(2.6)
    expect(standardDeviation(values)).toBeLessThan(3.4)
    const lag = 600 / step
    const later = values.slice(lag)
    const product = later.reduce((sum, value, i) => sum + value * values[i]!, 0) / later.length
    // an Ornstein–Uhlenbeck process has a correlation of 1/e after its memory (from memory)
    expect(product / 9).toBeGreaterThan(0.25)
    expect(product / 9).toBeLessThan(0.5)
  }
})
