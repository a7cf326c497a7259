import { expect, it } from 'vitest'
import { toldStates } from '../../../server/history/index.js'

const stretch = (from: number, to: number) => ({ from, to, misled: false })
const told = (...states: [at: number, mean: number][]) => states.map(([at, mean]) => ({ at, mean }))

it('a state stands until the next, but no longer than it may', () => {
  expect(toldStates(told([0, 1], [10, 0], [100, 1]), [], 50)).toEqual([
    { from: 0, to: 10, value: 1 },
    { from: 10, to: 60, value: 0 },
    { from: 100, to: 150, value: 1 },
  ])
})

it('a state stands no longer than until its sensor was found lost, and what ends that stands from its end on', () => {
  expect(toldStates(told([0, 1], [70, 1], [90, 0]), [stretch(20, 71)], 50)).toEqual([
    { from: 0, to: 20, value: 1 },
    { from: 71, to: 90, value: 1 },
    { from: 90, to: 140, value: 0 },
  ])
  expect(toldStates(told([0, 1]), [stretch(20, Number.POSITIVE_INFINITY)], 50)).toEqual([{ from: 0, to: 20, value: 1 }])
})

it('what a sensor told while it was not believed counts for nothing', () => {
  expect(toldStates(told([0, 0], [20, 1], [40, 1], [60, 0]), [stretch(10, 60)], 50)).toEqual([
    { from: 0, to: 10, value: 0 },
    { from: 60, to: 110, value: 0 },
  ])
  expect(toldStates(told([20, 1], [40, 1]), [stretch(10, Number.POSITIVE_INFINITY)], 50)).toEqual([])
})
