import { describe, expect, it } from 'vitest'
import { createSimulatedShop, demoPlant } from '../../simulators/index.js'
import { demoShop } from '../demo-shop.js'
import { type ExamSettings, examine } from './examine.js'
import { score } from './score.js'
import { examineRandom, shopNumber } from './shops.js'

const from = Date.UTC(2026, 1, 2)
const settings: Omit<ExamSettings, 'days'> = { from, step: 60, recorded: true, judgeEvery: 300, readyEvery: 1800 }

describe('two weeks of the demo shop against its own truth', () => {
  it('predicts growth within 1.5 µm or 10 % (median) on every axis, and never says fit on a guess', async () => {
    const simulated = createSimulatedShop(demoPlant, { seed: 11, start: from })
    const record = await examine(demoShop(), simulated, { ...settings, days: 14 })
    const result = score([record])
    expect(record.refused).toBe(0)
    for (const { machine, axis, medianOfAllowed } of result.axes)
      expect(medianOfAllowed, `${machine} ${axis}`).toBeLessThanOrEqual(1)
    // one minute in ten thousand
    expect(result.falselyFitPerMillion).toBeLessThanOrEqual(100)
    // caution is not bought with silence
    expect(result.unknownPercent).toBeLessThan(2)
    expect(result.fitPercent).toBeGreaterThan(50)
  }, 600_000)

  it('finds what is wrong when the shop file is wrong: the examination can fail', async () => {
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
    const result = score([await examine(blind, simulated, { ...settings, judgeEvery: 600, days: 1.5 })])
    expect(result.axes.some(a => a.medianOfAllowed > 1)).toBe(true)
  }, 120_000)
})

describe('two days of two random shops', () => {
  it('go through the live code without a message refused, and are never called fit on a guess', async () => {
    const records = [await examineRandom(shopNumber(4, 1), 2), await examineRandom(shopNumber(4, 2), 2)]
    const result = score(records)
    for (const record of records) {
      expect(record.refused).toBe(0)
      expect(record.messages).toBeGreaterThan(10_000)
      // 42 hours, every five minutes, the first moment included
      for (const { samples } of record.classes) expect(samples).toBe(42 * 12 + 1)
    }
    expect(result.falselyFitPerMillion).toBeLessThanOrEqual(100)
    expect(result.growth.medianOfAllowed).toBeLessThanOrEqual(1)
    expect(result.unknownHealthyPercent).toBeLessThan(2)
  })

  it('are the same when run again', async () => {
    expect(await examineRandom(shopNumber(4, 1), 0.5)).toEqual(await examineRandom(shopNumber(4, 1), 0.5))
  }, 120_000)
}, 600_000)
