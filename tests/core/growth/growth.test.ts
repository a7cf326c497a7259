import { describe, expect, it } from 'vitest'
import { barGrowth } from '../../../core/growth/bar.js'
import { columnDeflection } from '../../../core/growth/column.js'
import { sizeError, thermalLoop } from '../../../core/growth/index.js'
import { pretensionedScrewGrowth } from '../../../core/growth/screw.js'
import type { Axis, Screw, ScrewMounting } from '../../../core/shop.js'
import { growthOfAxes, machineWith, screwAxis, steel } from '../machines.js'

describe('bar, screw and scale', () => {
  it('grow with temperature and shrink below the reference', () => {
    expect(barGrowth(1, 11.5e-6, 1)).toBeCloseTo(11.5e-6, 12)
    expect(barGrowth(1, 11.5e-6, -2)).toBeCloseTo(-23e-6, 12)
  })
  it('move away from the fixed point on either side of it', () => {
    expect(barGrowth(-0.1, 11.5e-6, 2)).toBeLessThan(0)
    expect(barGrowth(0.4, 8.5e-6, 2)).toBeCloseTo(6.8e-6, 12)
  })
})

describe('pretensioned screw', () => {
  const growth = (screw: number, bed: number) => pretensionedScrewGrowth(0.5, 11.5e-6, screw, 11.4e-6, bed, 3)
  it('follows the bed until the pretension is used up', () => {
    expect(growth(2, 0)).toBe(0)
    expect(growth(4, 1)).toBeCloseTo(barGrowth(0.5, 11.4e-6, 1), 15)
  })
  it('grows by the excess beyond it', () => {
    expect(growth(5, 0)).toBeCloseTo(barGrowth(0.5, 11.5e-6, 2), 15)
  })
  it('is continuous where the pretension is used up', () => {
    expect(growth(3 + 1e-9, 0) - growth(3 - 1e-9, 0)).toBeLessThan(1e-12)
  })
})

describe('workpiece', () => {
  it('comes out true when machine and part of one material are equally warm', () => {
    expect(sizeError(0.2, 11.5e-6 * 4, 11.5e-6, 4)).toBeCloseTo(0, 15)
  })
  it('comes out short when it was warmer than the machine', () => {
    expect(sizeError(0.2, 0, 11.5e-6, 4)).toBeCloseTo(-9.2e-6, 12)
  })
})

describe('thermal loop', () => {
  const machine = machineWith({
    nodes: ['screw', 'column', 'front', 'rear'],
    axes: [screwAxis('Z', 'screw', { travel: 0.5, workAt: 0.25, fixedAt: -0.1 })],
    structure: [
      { kind: 'bar', id: 'c', name: 'column', axis: 'Z', sign: -1, length: 0.6, material: steel, nodes: { column: 1 } },
      {
        kind: 'bending column',
        id: 'b',
        name: 'column',
        axis: 'Z',
        sign: 1,
        height: 0.7,
        depth: 0.35,
        material: steel,
        front: { front: 1 },
        rear: { rear: 1 },
      },
    ],
  })
  const loop = thermalLoop(machine, 20)
  /** a screw of which two nodes tell, the second more */
  const mixedScrew = (mounting: ScrewMounting): Axis => {
    const axis = screwAxis('Z', 'screw', { travel: 0.5, workAt: 0.25, fixedAt: -0.1 })
    return { ...axis, measuring: { ...(axis.measuring as Screw), nodes: { screw: 0.3, column: 0.7 }, mounting } }
  }
  const temperatures = { air: 20, screw: 23, column: 21, front: 22, rear: 20.5 }

  it('adds screw, structure and bending with their signs', () => {
    const expected =
      barGrowth(0.35, steel.alpha, 3) - barGrowth(0.6, steel.alpha, 1) + columnDeflection(steel.alpha, 1.5, 0.7, 0.35)
    expect(growthOfAxes(loop, temperatures)[0]!.atWork).toBeCloseTo(expected, 15)
  })
  it('has elements that sum to the growth', () => {
    const t = machine.nodes.map(node => temperatures[node.id as keyof typeof temperatures])
    const [axis] = loop.axes
    const sum = axis!.elements.reduce((total, element) => total + element.growthAt(0.25, t), 0)
    expect(sum).toBeCloseTo(axis!.growthAt(0.25, t), 15)
  })
  it('names the node with the largest weight of each element', () => {
    const mixed = { ...machine, axes: [mixedScrew({ kind: 'one end fixed' })] }
    expect(thermalLoop(mixed, 20).axes[0]!.elements[0]!.node).toBe('column')
  })
  it('knows by how much a screw is warmer than its pretension holds, whatever the reference temperature', () => {
    const stretch = 1.5
    const bed = { material: steel, nodes: { rear: 1 } }
    const held = { ...machine, axes: [mixedScrew({ kind: 'both ends fixed', stretch, bed })] }
    const t = machine.nodes.map(node => temperatures[node.id as keyof typeof temperatures])
    // the screw at 0.3 · 23 + 0.7 · 21 = 21.6 °C, the bed at 20.5 °C
    for (const reference of [20, 23]) {
      expect(thermalLoop(held, reference).axes[0]!.pretensionExcess(t)).toBe(0)
      t[1] = 25
      expect(thermalLoop(held, reference).axes[0]!.pretensionExcess(t)).toBeCloseTo(22.2 - 20.5 - stretch, 12)
      t[1] = 23
    }
    expect(loop.axes[0]!.pretensionExcess(t)).toBe(0)
  })
  it('is unknown where a node is unknown', () => {
    const { screw: _, ...rest } = temperatures
    expect(growthOfAxes(loop, rest)[0]!.atWork).toBeNaN()
  })
  it('refuses a node the machine does not have', () => {
    const broken = { ...machine, axes: [screwAxis('X', 'nowhere')] }
    expect(() => thermalLoop(broken, 20)).toThrow('has no node "nowhere"')
  })
})
