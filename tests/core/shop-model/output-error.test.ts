import { expect, it } from 'vitest'
import { lagged } from '../../../core/shop-model/lag.js'
import { OutputErrorFit, physical, type Unknown } from '../../../core/shop-model/output-error.js'
import { drawing } from '../../../core/statistics/drawing.js'

const draw = drawing(3)
const input = Float64Array.from({ length: 600 }, (_, i) => Number(i % 90 < 30))
const noise = input.map(() => (draw(1000) - 500) / 5000)
/** a gain and a time constant; the latter is looked for by its logarithm */
const unknown: Unknown[] = [
  { usual: 0, spread: 5, isFactor: false, low: 0 },
  { usual: Math.log(1000), spread: 2, isFactor: true, low: Number.NEGATIVE_INFINITY },
]
const fit = new OutputErrorFit(unknown, [0.001, 0.001])
const run = ([gain, tau]: readonly number[]) => lagged(input, tau!, 300, 0).map(value => gain! * value)
const fitted = (truth: readonly number[]) => {
  const measured = run(truth).map((value, i) => value + noise[i]!)
  const steps = fit.improved(
    x => run(physical(unknown, x)).map((value, i) => measured[i]! - value),
    { x: [1, Math.log(1000)], noise: 0.01, memory: 0, cost: Number.POSITIVE_INFINITY },
    30,
    false,
  )
  let step = steps.next()
  while (!step.done) step = steps.next()
  return physical(unknown, step.value.x)
}

it('finds the gain and the time constant that a course was made with', () => {
  const [gain, tau] = fitted([3, 5000])
  expect(gain).toBeCloseTo(3, 1)
  expect(tau! / 5000).toBeCloseTo(1, 1)
})

it('keeps a value at its bound where the data would have it beyond', () => {
  expect(fitted([-2, 3000])[0]).toBe(0)
})
