import { describe, expect, it } from 'vitest'
import { createSimulatedShop, demoPlant } from '../../simulators/index.js'
import { demoShop } from '../demo-shop.js'
import { allColumns } from './columns.js'
import { type ExamSettings, examine } from './examine.js'
import { allForecasts, allKinds } from './node-forecasts.js'
import { score } from './score.js'
import { examineRandom, shopNumber } from './shops.js'
import { strictnessNames } from './strictness.js'

// A short form of the examination: shops and days are fixed. What is called fit has the bars of the whole one; what is said
// ahead is held to bounds far from what is seen, so that it fails when predictions break. `npm run exam` measures.

const from = Date.UTC(2026, 1, 2)
const settings: Omit<ExamSettings, 'days'> = { from, step: 60, recorded: true, judgeEvery: 300, readyEvery: 1800 }

/** The demo shop with two of its machines: one beside the dock door, one in the fine room. */
const isChosen = (machine: string) => machine === 'mill-2' || machine === 'mill-3'
const twoMachines = () => {
  const shop = demoShop()
  return {
    ...shop,
    machines: shop.machines.filter(({ id }) => isChosen(id)),
    sensors: shop.sensors.filter(({ at }) => at.kind !== 'node' || isChosen(at.machine)),
  }
}
const plant = {
  ...demoPlant,
  sensors: demoPlant.sensors.filter(({ measures }) => !('machine' in measures) || isChosen(measures.machine)),
}

describe('a day and a half of two machines of the demo shop', () => {
  const examined = async (shop = twoMachines(), days = 1.5) => {
    const simulated = createSimulatedShop(plant, { seed: 11, start: from })
    return examine(shop, simulated, { ...settings, days })
  }

  it('predicts growth within 1.5 µm or 10 % (median) on every axis, and does not call fit what is not', async () => {
    const record = await examined()
    const result = score([record])
    expect(record.refused).toBe(0)
    for (const { machine, axis, medianOfAllowed } of result.axes)
      expect(medianOfAllowed, `${machine} ${axis}`).toBeLessThanOrEqual(1)
    expect(result.falselyFitPerMillion).toBeLessThanOrEqual(100)
    // caution is not bought with silence
    expect(result.unknownPercent).toBeLessThan(2)
    expect(result.fitPercent).toBeGreaterThan(50)
  })

  it('finds what is wrong when the shop file is wrong: the examination can fail', async () => {
    const shop = twoMachines()
    const wrong = shop.machines.map(m => ({
      ...m,
      axes: m.axes.map(a => ({
        ...a,
        measuring: { ...a.measuring, material: { ...a.measuring.material, alpha: 3 * a.measuring.material.alpha } },
      })),
    }))
    // how an axis grows depends on no kind of work
    const workClasses = shop.workClasses.slice(0, 1)
    const result = score([await examined({ ...shop, machines: wrong, workClasses }, 0.75)])
    expect(result.axes.some(a => a.medianOfAllowed > 1)).toBe(true)
  })
})

describe('two and a half days of a random shop where not all goes by plan', () => {
  it('go through the live code without a message refused; what is said ahead is of use', async () => {
    const record = await examineRandom(shopNumber(4, 2), 2.5)
    const result = score([record])
    expect(record.refused).toBe(0)
    expect(record.messages).toBeGreaterThan(10_000)
    // 54 hours, every five minutes, the first moment included
    for (const { samples } of record.classes) expect(samples).toBe(54 * 12 + 1)
    expect(result.falselyFitPerMillion).toBeLessThanOrEqual(100)
    expect(result.growth.medianOfAllowed).toBeLessThanOrEqual(1)
    expect(result.unknownHealthyPercent).toBeLessThan(2)

    const { service, rules, strictness } = allColumns([record.columns])
    expect(strictness[0]!.counts).toEqual(service)
    // the rule in use, followed beside the service, says what the service says
    const inUse = strictness[strictnessNames.indexOf('95 %, room × 1')]!
    expect(Math.abs(inUse.counts.held.fit - service.held.fit)).toBeLessThan(0.01 * service.held.samples)
    expect(Math.abs(inUse.counts.job.falselyFit - service.job.falselyFit)).toBeLessThan(0.002 * service.job.samples)
    expect(service.came.samples).toBeGreaterThan(500)
    // of what is called fit less goes over the share than of what the naive rules call fit
    const falsely = ({ falselyFit, fit }: typeof service.came) => falselyFit / Math.max(fit, 1)
    for (const rule of Object.values(rules))
      expect(falsely(service.came)).toBeLessThanOrEqual(Math.max(falsely(rule.came), 0.01))

    const [one, four] = allKinds(allForecasts([record.forecasts]))
    expect(one!.count).toBeGreaterThan(50)
    for (const of of [one!, four!]) {
      // a forecast further off than this from "it stays as it is" is broken, and so is a band that holds so little
      expect(Math.sqrt(of.squares / of.persistenceSquares)).toBeLessThan(1.5)
      expect(of.covered / of.count).toBeGreaterThan(0.3)
    }
    expect(record.suspects.falseSuspects.length).toBeLessThanOrEqual(3)
  })

  it('are the same when run again', async () => {
    expect(await examineRandom(shopNumber(4, 2), 0.5)).toEqual(await examineRandom(shopNumber(4, 2), 0.5))
  })
})
