import { describe, expect, it } from 'vitest'
import { deviationAt, type Inspection } from '../../../core/inspection/index.js'
import type { Material } from '../../../core/shop.js'

const steel: Material = { name: 'steel', alpha: 11.5e-6, alphaUncertainty: 0.05 }
const aluminium: Material = { name: 'aluminium', alpha: 23.6e-6, alphaUncertainty: 0.03 }
const measured = (temperature: number | null, temperatureUncertainty: number | null = 0.5) =>
  ({ nominal: 0.3, measured: 0.30002, temperature, temperatureUncertainty }) as Inspection

describe('a part that was measured away from 20 °C', () => {
  it('is taken as it was read at 20 °C, or where nothing else is said', () => {
    for (const temperature of [null, 20]) {
      const { value, uncertainty } = deviationAt(measured(temperature, 0), aluminium, steel, 20)
      expect(value).toBeCloseTo(20e-6, 12)
      expect(uncertainty).toBe(0)
    }
  })
  it('loses what it has grown by, less what the gauge has grown by', () => {
    // 300 mm of aluminium, 5 K warmer: 35.4 µm; a steel gauge as warm has grown by 17.25 µm itself
    expect(deviationAt(measured(25), aluminium, 'held', 20).value).toBeCloseTo(20e-6 - 35.4e-6, 12)
    expect(deviationAt(measured(25), aluminium, steel, 20).value).toBeCloseTo(20e-6 - 35.4e-6 + 17.25e-6, 12)
    expect(deviationAt(measured(25), aluminium, aluminium, 20).value).toBeCloseTo(20e-6, 12)
    // 0.5 K of 300 mm is 3.54 µm, 3 % of 35.4 µm is 1.06 µm
    expect(deviationAt(measured(25), aluminium, 'held', 20).uncertainty).toBeCloseTo(Math.hypot(3.54e-6, 1.062e-6), 9)
  })
  it('lies in the middle, with room to both sides, where nobody says what it was measured with', () => {
    const { value, uncertainty, gaugeUnsaid } = deviationAt(measured(25, 0), aluminium, null, 20)
    expect(gaugeUnsaid).toBe(true)
    expect(value).toBeCloseTo(20e-6 - 17.7e-6, 12)
    expect(uncertainty).toBeCloseTo(17.7e-6 / Math.sqrt(3), 12)
  })
})
