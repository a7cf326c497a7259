import { describe, expect, it } from 'vitest'
import { createMeasuredParts } from '../../simulators/demo/measured-parts.js'
import { createSimulatedShop, demoPlant } from '../../simulators/index.js'

const minute = 60_000
const day = 1440 * minute
/** Thursday 15 January 2026, 06:00 in Vienna; the shop has lived two days before it */
const anchor = Date.UTC(2026, 0, 15, 5)

const made = () => {
  const shop = createSimulatedShop(demoPlant, { seed: 1, start: anchor - 2 * day, scenario: 'demo', anchor })
  const parts = createMeasuredParts(shop, 1)
  for (let at = anchor - 2 * day + minute; at <= anchor; at += minute) {
    shop.advance(at, () => undefined, 3600)
    parts.onMinute()
  }
  const [, ...rows] = parts.table().trimEnd().split('\n')
  return rows.map(row => row.split(','))
}

describe('the bins of measured parts', () => {
  it('are the same for the same seed: cut in working hours, within a tenth of a millimetre, one of them by a wearing tool', () => {
    const rows = made()
    expect(made()).toEqual(rows)
    const of = (part: string) => rows.filter(([name]) => name === part)
    // Tuesday and Wednesday; what was cut before the shop's life began cannot be made
    expect(of('Bearing housing')).toHaveLength(26)
    expect(of('Pump housing')).toHaveLength(22)
    for (const [, , , , , nominal, lower, upper, measured, from, to] of rows) {
      expect(Math.abs(Number(measured) - Number(nominal))).toBeLessThan(0.1)
      expect(Number(lower)).toBeLessThan(Number(upper))
      expect(from! < to!).toBe(true)
      expect(from).toMatch(/^2026-01-1[34] (0[6-9]|1\d):\d\d$/)
    }
    // what wears by 0.7 µm a part is smaller at the end of its tool's life than at the beginning
    const worn = of('Pump housing').map(row => ({ used: Number(row[13]), size: Number(row[8]) }))
    const mean = (all: readonly { size: number }[]) => all.reduce((sum, { size }) => sum + size, 0) / all.length
    const [fresh, old] = [worn.filter(({ used }) => used < 5), worn.filter(({ used }) => used > 13)]
    expect(fresh.length * old.length).toBeGreaterThan(0)
    expect(mean(fresh) - mean(old)).toBeGreaterThan(0.005)
  })
})
