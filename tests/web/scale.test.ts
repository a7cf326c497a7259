import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { thermalErrorIndex } from '../../core/judge/thermal-error-index.js'
import type { AxisJob } from '../../core/state.js'
import {
  axisMark,
  leavingWithinHour,
  positionOn,
  scaleNumber,
  scaleNumbers,
  wallNumber,
  windowScale,
} from '../../web/charts/scale.js'
import { evenly } from '../evenly.js'

const scale = windowScale({ tolerance: 22e-6, share: 0.3 })
const job = (error: number, uncertainty: number, errorInHour = error): AxisJob => ({
  axis: 'X',
  sizeError: error,
  drift: 0,
  error,
  range: { low: error, high: error },
  uncertainty,
  errorInHour,
  rangeInHour: { low: errorInHour, high: errorInHour },
  budget: [],
  parts: [],
})

describe('the tolerance window', () => {
  it('frames half the tolerance and shades the share to either side', () => {
    expect(scale.half).toBeCloseTo(11e-6, 12)
    expect(scale.grant).toBeCloseTo(6.6e-6, 12)
  })
  it('shades the whole frame when half the tolerance is granted', () => {
    const whole = windowScale({ tolerance: 20e-6, share: 0.5 })
    expect(whole.grant).toBe(whole.half)
  })
  it('is drawn to scale, nominal in the middle', () => {
    expect(positionOn(scale, 0)).toEqual({ at: 0.5, beyond: 0 })
    const step = positionOn(scale, 2e-6).at - positionOn(scale, 1e-6).at
    expect(positionOn(scale, -5e-6).at - positionOn(scale, -6e-6).at).toBeCloseTo(step, 12)
  })
  it('holds what lies beyond at its edge and says on which side', () => {
    expect(positionOn(scale, 40e-6)).toEqual({ at: 1, beyond: 1 })
    expect(positionOn(scale, -40e-6)).toEqual({ at: 0, beyond: -1 })
  })
  it('calls a mark outside exactly when the index is above the share', () => {
    fc.assert(
      fc.property(evenly(-30e-6, 30e-6), evenly(0, 30e-6), (error, uncertainty) => {
        const index = thermalErrorIndex(error, uncertainty, 22e-6)
        fc.pre(Math.abs(index - 30) > 0.05)
        expect(axisMark(scale, job(error, uncertainty)).outside).toBe(index > 30)
      }),
    )
  })
  it('keeps the sign of what would be measured, and calls outside what a job would run through', () => {
    // size +3.2 µm, drift −6.1 µm: measured now +3.2, from −2.9 to +9.3 within the job
    const z = { ...job(3.2e-6, 0.5e-6), drift: -6.1e-6, range: { low: -2.9e-6, high: 9.3e-6 } }
    const mark = axisMark(scale, z)
    expect(mark.now).toEqual(positionOn(scale, 3.2e-6))
    expect([mark.from, mark.to]).toEqual([positionOn(scale, -2.9e-6), positionOn(scale, 9.3e-6)])
    expect(mark.outside).toBe(true)
  })
  it('names the axes that leave within the hour, not those that are out already', () => {
    const axes = [
      job(1e-6, 1e-6, 2e-6),
      { ...job(3e-6, 1e-6, -7e-6), axis: 'Y' },
      { ...job(9e-6, 1e-6, 9e-6), axis: 'Z' },
    ]
    expect(leavingWithinHour(scale, axes)).toEqual(['Y'])
  })
})

describe('its numbers', () => {
  it('are µm, or ten-thousandths of an inch', () => {
    expect(wallNumber(3.14e-6, 'metric')).toBe('+3.1')
    expect(wallNumber(-9.8e-6, 'metric')).toBe('−9.8')
    expect(wallNumber(18e-6, 'metric')).toBe('+18')
    expect(wallNumber(-2.54e-6, 'inch')).toBe('−1.0')
    expect(wallNumber(25.4e-6, 'inch')).toBe('+10')
  })
  it('never write a negative zero', () => {
    expect(wallNumber(-0.01e-6, 'metric')).toBe('0')
  })
  it('leave out digits that say nothing on the scale', () => {
    expect(scaleNumber(11e-6, 'metric')).toBe('+11')
    expect(scaleNumber(-5e-6, 'metric')).toBe('−5')
    expect(scaleNumber(6.6e-6, 'metric')).toBe('+6.6')
  })
  it('stand at nominal, frame and grant, where they do not run into each other', () => {
    expect(scaleNumbers(scale)).toEqual([-scale.half, -scale.grant, 0, scale.grant, scale.half])
    for (const share of [0.5, 0.45, 0.05]) {
      const crowded = windowScale({ tolerance: 22e-6, share })
      expect(scaleNumbers(crowded)).toEqual([-crowded.half, 0, crowded.half])
    }
  })
})
