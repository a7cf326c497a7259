import { expect, it } from 'vitest'
import { asLine, fitLine, interval, onIntervals } from '../../web/machine/fit-course.js'

const point = (at: number, mean: number, count = 1) => ({ at, mean, count, min: mean, max: mean })

it('several sensors are brought to common intervals, by their counts; where nothing was read nothing is known', () => {
  const series = [
    { sensor: 'a', level: 'minute' as const, points: [point(0, 20, 3), point(2 * interval, 22)] },
    { sensor: 'b', level: 'minute' as const, points: [point(1, 24), point(-1, 99)] },
  ]
  expect([...onIntervals(series, 0, 3 * interval)]).toEqual([21, Number.NaN, 22])
})

it('the fit begins at the reading and approaches air and usual excess', () => {
  const node = Float64Array.from({ length: 200 }, () => 20)
  const air = Float64Array.from({ length: 200 }, () => 24)
  const fit = fitLine(node, air, { timeConstant: 3600, fastShare: 0, steadyExcess: 1 })
  expect(fit[0]).toBe(20)
  // six intervals of ten minutes are one time constant: 63.2 % of 5 K, by its definition
  expect(fit[6]).toBeCloseTo(20 + 5 * (1 - Math.exp(-1)), 6)
  expect(fit[199]).toBeCloseTo(25, 3)
  expect(asLine(fit, 1000)[1]).toMatchObject({ at: 1000 + 1.5 * interval, value: fit[1] })
})

it('without a time constant there is no fit', () => {
  const none = fitLine(new Float64Array(2), new Float64Array(2), {
    timeConstant: null,
    fastShare: null,
    steadyExcess: null,
  })
  expect([...none]).toEqual([Number.NaN, Number.NaN])
})
