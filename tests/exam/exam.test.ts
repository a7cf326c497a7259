import { describe, expect, it } from 'vitest'
import { createSimulatedShop, demoPlant } from '../../simulators/index.js'
import { demoShop } from '../demo-shop.js'
import { examine } from './examine.js'
import { score } from './score.js'

describe('two weeks of the demo shop against its own truth', () => {
  it('predict growth within 1.5 µm or 10 % (median) on every axis, and never say fit on a guess', () => {
    const from = Date.UTC(2026, 1, 2)
    const simulated = createSimulatedShop(demoPlant, { seed: 11, start: from })
    const record = examine(demoShop(), simulated, { from, days: 14, step: 60, judgeEvery: 300 })
    const result = score([record])
    expect(record.refused).toBe(0)
    for (const { machine, axis, errorMedian, allowedMedian } of result.axes)
      expect(errorMedian, `${machine} ${axis}`).toBeLessThanOrEqual(allowedMedian)
    // one minute in ten thousand
    expect(result.falselyFitPerMillion).toBeLessThanOrEqual(100)
    // caution is not bought with silence
    expect(result.unknownPercent).toBeLessThan(2)
    expect(result.fitPercent).toBeGreaterThan(50)
  }, 600_000)

  it('finds what is wrong when the shop file is wrong: the examination can fail', () => {
    const from = Date.UTC(2026, 1, 2)
    const simulated = createSimulatedShop(demoPlant, { seed: 11, start: from })
    const shop = demoShop()
    const blind = {
      ...shop,
      machines: shop.machines.map(m => ({
        ...m,
        axes: m.axes.map(a => ({
          ...a,
          measuring: { ...a.measuring, material: { ...a.measuring.material, alpha: 3 * a.measuring.material.alpha } },
        })),
      })),
    }
    const result = score([examine(blind, simulated, { from, days: 2, step: 60, judgeEvery: 600 })])
    expect(result.axes.some(a => a.errorMedian > a.allowedMedian)).toBe(true)
  }, 120_000)
})
