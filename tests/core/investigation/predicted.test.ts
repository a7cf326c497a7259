import { describe, expect, it } from 'vitest'
import { type AxisVariances, type Making, predictedError, timesOf } from '../../../core/investigation/index.js'

const sure: AxisVariances = { placement: { size: 0, both: 0, position: 0 }, calibration: 0, part: 0, expansion: 0 }
const making: Making = { length: 0.3, alpha: 23.6e-6, alphaUncertainty: 0, sign: 1, times: 1, reference: 20 }
const at = (screw: number, part: number) => ({
  growth: 11.5e-6 * 0.4 * (screw - 20),
  tilt: 0,
  perMetre: 11.5e-6 * (screw - 20),
  part,
})

describe('what heat makes of a size', () => {
  it('is scale less part, and the shift of the zero as often as it counts', () => {
    const zero = { ...at(22, 21), firstPart: false }
    // 300 mm: scale 11.5e-6 · 5 K, part 23.6e-6 · 3 K; the zero has shifted by 400 mm · 11.5e-6 · 3 K
    const size = 0.3 * (11.5e-6 * 5 - 23.6e-6 * 3)
    const shift = 0.4 * 11.5e-6 * 3
    for (const cut of ['one side', 'both sides', 'diameter'] as const) {
      const found = predictedError({ ...making, times: timesOf(cut) }, at(25, 23), zero, sure)
      const times = { 'one side': 1, 'both sides': 0, diameter: 2 }[cut]
      expect(found.sizeError).toBeCloseTo(size, 12)
      expect(found.drift).toBeCloseTo(times * shift, 12)
      expect(found.error).toBeCloseTo(size + times * shift, 12)
      expect(found.uncertainty).toBe(0)
    }
  })
  it('turns round with a longer axis that makes it smaller, but the part shrinks all the same', () => {
    const found = predictedError({ ...making, sign: -1 }, at(25, 23), { ...at(22, 21), firstPart: false }, sure)
    expect(found.sizeError).toBeCloseTo(0.3 * (-11.5e-6 * 5 - 23.6e-6 * 3), 12)
    expect(found.drift).toBeCloseTo(-0.4 * 11.5e-6 * 3, 12)
  })
  it('is nothing in the state in which a first part was measured, and has no drift where each part is zeroed', () => {
    expect(predictedError(making, at(25, 23), { ...at(25, 23), firstPart: true }, sure).error).toBeCloseTo(0, 15)
    expect(predictedError(making, at(25, 23), null, sure).drift).toBe(0)
  })
  it('is as uncertain as its parts are together', () => {
    const variances: AxisVariances = {
      placement: { size: 4e-12, both: 3e-12, position: 2.25e-12 },
      calibration: 1e-12,
      part: 0.5,
      expansion: 0.05,
    }
    const found = predictedError(
      { ...making, alphaUncertainty: 0.03 },
      at(25, 23),
      { ...at(22, 21), firstPart: false },
      variances,
    )
    const machine = 0.3 * 11.5e-6 * 5 + 0.4 * 11.5e-6 * 3
    const part = 0.3 * 23.6e-6 * 3
    expect(found.uncertainty).toBeCloseTo(
      Math.sqrt(
        (0.3 * 23.6e-6 * 0.5) ** 2 +
          (0.03 * part) ** 2 +
          (0.05 * machine) ** 2 +
          // 2 µm/m over 300 mm and 1.5 µm at the work, of the same nodes
          0.09 * 4e-12 +
          2 * 0.3 * 3e-12 +
          2.25e-12 +
          0.09 * 1e-12,
      ),
      12,
    )
  })
})
