import { describe, expect, it } from 'vitest'
import { rejectsOtherwise } from '../../../core/investigation/without.js'

const minute = 60_000
const at = [0, 10, 20, 30].map(each => each * minute)
/** a door made the axis 10 µm longer from the second moment on, by 8 to 12 µm */
const course = {
  at,
  was: [0, 10e-6, 10e-6, null],
  without: [0, 0, 0, 0],
  low: [0, -2e-6, -2e-6, 0],
  high: [0, 2e-6, 2e-6, 0],
}
const part = (moment: number, deviation: number) => ({ from: moment, to: moment, deviation })
const limits = { lower: -5e-6, upper: 9e-6 }

describe('rejects had growth gone otherwise', () => {
  it('are those whose deviation without the drift is beyond a limit, with those of both ends of its interval', () => {
    const parts = [part(10 * minute, 10e-6), part(20 * minute, 18e-6), part(0, 1e-6)]
    // 0, 8 and 1 µm without it; at the far end 10 µm in place of 8
    expect(rejectsOtherwise(parts, course, limits, 'one side', false, [])).toEqual({
      parts: 3,
      asItWas: 2,
      rejects: { value: 0, low: 0, high: 1 },
    })
    // twice for a diameter: 10 − 20 and 18 − 20 µm
    expect(rejectsOtherwise(parts, course, limits, 'diameter', false, []).rejects.value).toBe(1)
  })
  it('stay where the drift does not count: between two faces, zeroed for each part, or taken away by a datum', () => {
    const parts = [part(20 * minute, 12e-6)]
    expect(rejectsOtherwise(parts, course, limits, 'both sides', false, []).rejects.value).toBe(1)
    expect(rejectsOtherwise(parts, course, limits, 'one side', true, []).rejects.value).toBe(1)
    expect(rejectsOtherwise(parts, course, limits, 'one side', false, [12 * minute]).rejects.value).toBe(1)
    expect(rejectsOtherwise(parts, course, limits, 'one side', false, [0]).rejects.value).toBe(0)
  })
  it('leave out parts of which it cannot be told', () => {
    expect(rejectsOtherwise([part(30 * minute, 12e-6)], course, limits, 'one side', false, [])).toMatchObject({
      parts: 0,
      asItWas: 0,
    })
  })
})
