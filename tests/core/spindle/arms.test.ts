import { describe, expect, it } from 'vitest'
import { columnDeflection } from '../../../core/growth/column.js'
import { columnSlope } from '../../../core/growth/index.js'
import type { StructureElement } from '../../../core/shop.js'
import { armErrors } from '../../../core/spindle/arms.js'
import { headTilts } from '../../../core/spindle/index.js'
import { machineWith, screwAxis, steel } from '../machines.js'

const column: StructureElement = {
  kind: 'bending column',
  id: 'column',
  name: 'column',
  axis: 'Y',
  sign: -1,
  material: steel,
  height: 0.8,
  depth: 0.4,
  front: { front: 1 },
  rear: { rear: 0.5, low: 0.5 },
}
const mill = machineWith({ nodes: ['front', 'rear', 'low'], axes: [screwAxis('Y', 'front')], structure: [column] })

describe('tilt of the head', () => {
  it('is the slope of the column’s bending where it carries the head', () => {
    const d = 1e-6
    const secant = (columnDeflection(11.5e-6, 2, 0.8 + d, 0.4) - columnDeflection(11.5e-6, 2, 0.8 - d, 0.4)) / (2 * d)
    expect(columnSlope(11.5e-6, 2, 0.8, 0.4)).toBeCloseTo(secant, 12)
  })

  it('counts since the datum, or against an even column where there is none', () => {
    const now = { front: 24, rear: 22, low: 21 }
    // 2.5 K, 11.5 µm/m/K, 0.8 m over 0.4 m: 57.5 µm/m
    expect(headTilts(mill, now, null)).toEqual([{ axis: 'Y', slope: expect.closeTo(-57.5e-6, 12), sinceDatum: false }])
    const [since] = headTilts(mill, now, { front: 21, rear: 20, low: 20 })
    expect(since).toEqual({ axis: 'Y', slope: expect.closeTo(-34.5e-6, 12), sinceDatum: true })
    expect(headTilts(mill, { front: 24 }, null)).toEqual([])
    expect(headTilts(machineWith({ nodes: [], axes: [] }), now, null)).toEqual([])
  })
})

describe('tools of unlike length', () => {
  const tool = (length: number, tolerance: number) => ({
    name: 'T',
    length,
    speed: 100,
    cutting: 60,
    tolerance,
    share: 0.2,
  })
  const tools = [tool(0.1, 30e-6), tool(0.25, 30e-6), tool(0.25, 60e-6), tool(0.04, 30e-6)]

  it('differ by the tilt times what one is longer, and are told where that is beyond their share', () => {
    // 50 µm/m over 150 mm: 7.5 µm, above a fifth of 30 µm and below a fifth of 60 µm
    const found = armErrors(tools, 0, -50e-6, { toolLength: 0.05, indicatorHeight: 0.3 }, 0.1)
    expect(found.tools.map(({ tools: { error } }) => error)).toEqual(
      [0, 7.5e-6, 7.5e-6, 3e-6].map(x => expect.closeTo(x, 12)),
    )
    expect(found.tools.map(({ indicator }) => indicator!.error)).toEqual(
      [2.5e-6, 10e-6, 10e-6, 0.5e-6].map(x => expect.closeTo(x, 12)),
    )
    expect(found.tools.map(({ beyond }) => beyond)).toEqual([false, true, false, false])
    // the indicator 200 mm above the work: 10 µm, more than the closest tool may use
    expect(found.indicator).toEqual({
      difference: expect.closeTo(0.2, 12),
      error: expect.closeTo(10e-6, 12),
      beyond: true,
    })
  })

  it('say nothing of an indicator whose height or arm nobody noted', () => {
    const found = armErrors(tools, 0, 50e-6, { toolLength: null, indicatorHeight: 0.3 }, null)
    expect(found.indicator).toBeNull()
    expect(found.tools.every(({ indicator }) => indicator === null)).toBe(true)
  })
})
