import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { ThermalNetwork } from '../../simulators/network.js'
import { evenly } from '../evenly.js'

const heatContent = (network: ThermalNetwork): number =>
  network.temperature.reduce((sum, temperature, i) => sum + temperature * network.capacity[i]!, 0)

// heat conduction against the textbooks' solutions: tests/published/simulator.ts

describe('energy', () => {
  const node = fc.record({
    parent: evenly(0, 0.999),
    link: evenly(0.01, 1000),
    capacity: evenly(1, 1e6),
    start: evenly(-20, 60),
    heat: evenly(-100, 100),
  })
  it('a network that touches nothing keeps its heat, plus what is put in, to rounding', () => {
    fc.assert(
      fc.property(fc.array(node, { minLength: 1, maxLength: 60 }), evenly(1, 600), (parts, h) => {
        const network = new ThermalNetwork(
          parts.map((part, i) => ({
            ...part,
            parent: i === 0 ? -1 : Math.floor(part.parent * i),
            toAir: 0,
            toCoolant: 0,
          })),
          20,
        )
        parts.forEach((part, i) => {
          network.temperature[i] = part.start
          network.heat[i] = part.heat
        })
        const before = heatContent(network)
        for (let n = 0; n < 20; n++) network.step(h, 20, 20)
        const put = 20 * h * parts.reduce((sum, part) => sum + part.heat, 0)
        const size = parts.reduce((sum, part) => sum + part.capacity * 100, 0)
        expect(Math.abs(heatContent(network) - before - put) / size).toBeLessThan(1e-9)
      }),
      { seed: 1, numRuns: 100 },
    )
  })

  it('in the steady state all heat put in leaves to air and coolant', () => {
    const network = new ThermalNetwork(
      [
        { parent: -1, link: 0, capacity: 5000, toAir: 2, toCoolant: 0 },
        { parent: 0, link: 3, capacity: 500, toAir: 1, toCoolant: 0 },
        { parent: 1, link: 4, capacity: 300, toAir: 0, toCoolant: 5 },
      ],
      20,
    )
    network.heat[1] = 40
    for (let n = 0; n < 400; n++) network.step(300, 18, 22)
    const [a, b, c] = network.temperature
    expect(2 * (a! - 18) + (b! - 18) + 5 * (c! - 22)).toBeCloseTo(40, 6)
  })
})

it('half the step, a quarter of the error', () => {
  const errorWith = (h: number): number => {
    const network = new ThermalNetwork([{ parent: -1, link: 0, capacity: 1000, toAir: 1, toCoolant: 0 }], 0)
    for (let time = 0; time < 1200; time += h) network.step(h, 1, 0)
    return Math.abs(network.temperature[0]! - (1 - Math.exp(-1.2)))
  }
  expect(errorWith(300) / errorWith(150)).toBeGreaterThan(3.5)
  expect(errorWith(300) / errorWith(150)).toBeLessThan(4.5)
})

it('a very stiff network does not swing', () => {
  const network = new ThermalNetwork([{ parent: -1, link: 0, capacity: 1, toAir: 10, toCoolant: 0 }], 0)
  for (let n = 0; n < 5; n++) {
    network.step(300, 20, 0)
    expect(Math.abs(network.temperature[0]! - 20)).toBeLessThan(0.05)
  }
})

it('a child before its parent is refused', () => {
  const node = { parent: -1, link: 1, capacity: 1, toAir: 0, toCoolant: 0 }
  expect(() => new ThermalNetwork([node, { ...node, parent: 1 }], 20)).toThrow(/parents before children/)
  expect(() => new ThermalNetwork([{ ...node, capacity: 0 }], 20)).toThrow(/no heat capacity/)
})
