import { describe, expect, it } from 'vitest'
import { predictOpenLoop, startOpenLoop } from '../../../core/settling/open-loop.js'

const settings = { timeConstant: 3600, steadyExcess: 0.5 }
const hour = 3_600_000

describe('a body without a sensor', () => {
  it('covers 63.2 % of a step in its time constant, and stays above its surroundings by its own heat', () => {
    const began = startOpenLoop(0, 20, settings)
    expect(began.temperature).toBe(20.5)
    expect(predictOpenLoop(began, 30, hour, settings).temperature).toBeCloseTo(20.5 + 10 * 0.632, 2)
    expect(predictOpenLoop(began, 30, 20 * hour, settings).temperature).toBeCloseTo(30.5, 6)
  })
  it('comes out the same in many steps as in one', () => {
    let steps = startOpenLoop(0, 20, settings)
    for (let i = 1; i <= 60; i++) steps = predictOpenLoop(steps, 24, i * 60_000, settings)
    expect(steps.temperature).toBeCloseTo(
      predictOpenLoop(startOpenLoop(0, 20, settings), 24, hour, settings).temperature,
      10,
    )
  })
  it('does not go back in time', () => {
    const later = predictOpenLoop(startOpenLoop(0, 20, settings), 24, hour, settings)
    expect(predictOpenLoop(later, 30, hour / 2, settings)).toBe(later)
  })
})
