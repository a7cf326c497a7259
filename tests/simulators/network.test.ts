import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { type NetworkNode, ThermalNetwork } from '../../simulators/network.js'

const heatContent = (network: ThermalNetwork): number =>
  network.temperature.reduce((sum, temperature, i) => sum + temperature * network.capacity[i]!, 0)

/** A wall of `cells` slices, 1 m² large, its first slice in touch with the air. */
const wall = (cells: number, thickness: number, k: number, volumeHeat: number, film: number, start: number) => {
  const width = thickness / cells
  const nodes = Array.from(
    { length: cells },
    (_, i): NetworkNode => ({
      parent: i - 1,
      link: k / width,
      capacity: volumeHeat * width,
      toAir: i === 0 ? 1 / (1 / film + width / 2 / k) : 0,
      toCoolant: 0,
    }),
  )
  return { network: new ThermalNetwork(nodes, start), width }
}

describe('energy', () => {
  const node = fc.record({
    parent: fc.double({ min: 0, max: 0.999, noNaN: true }),
    link: fc.double({ min: 0.01, max: 1000, noNaN: true }),
    capacity: fc.double({ min: 1, max: 1e6, noNaN: true }),
    start: fc.double({ min: -20, max: 60, noNaN: true }),
    heat: fc.double({ min: -100, max: 100, noNaN: true }),
  })
  test('a network that touches nothing keeps its heat, plus what is put in, to rounding', () => {
    fc.assert(
      fc.property(
        fc.array(node, { minLength: 1, maxLength: 60 }),
        fc.double({ min: 1, max: 600, noNaN: true }),
        (parts, h) => {
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
        },
      ),
      { seed: 1, numRuns: 100 },
    )
  })

  test('in the steady state all heat put in leaves to air and coolant', () => {
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

describe('against solutions of the textbooks', () => {
  test('a lump: Incropera & DeWitt, example 5.1 (5.2 s; 5.165 s exactly)', () => {
    const diameter = 7.0588e-4
    const area = Math.PI * diameter ** 2
    const capacity = (8500 * 400 * Math.PI * diameter ** 3) / 6
    const network = new ThermalNetwork([{ parent: -1, link: 0, capacity, toAir: 400 * area, toCoolant: 0 }], 25)
    let time = 0
    while (network.temperature[0]! < 199) {
      network.step(0.001, 200, 0)
      time += 0.001
    }
    expect(time).toBeCloseTo(5.165, 2)
  })

  test('a plane wall: Incropera & DeWitt, example 5.4 (43.016 °C inside, 45.362 °C at the surface, exactly)', () => {
    const { network } = wall(100, 0.04, 63.9, 7832 * 434, 500, -20)
    for (let n = 0; n < 480; n++) network.step(1, 60, 0)
    expect(network.temperature[99]).toBeCloseTo(43.016, 1)
    const outer = network.temperature[0]!
    const surface = outer + (60 - outer) * (0.04 / 100 / 2 / 63.9 / (1 / 500 + 0.04 / 100 / 2 / 63.9))
    expect(surface).toBeCloseTo(45.362, 1)
  })

  test('a half-infinite body: Incropera & DeWitt, example 5.6 (frozen to 0.677 m in 60 days)', () => {
    const { network, width } = wall(400, 8, 0.52, 2050 * 1840, 1e9, 20)
    for (let n = 0; n < 60 * 48; n++) network.step(1800, -15, 0)
    const warm = network.temperature.findIndex(temperature => temperature > 0)
    const [cold, above] = [network.temperature[warm - 1]!, network.temperature[warm]!]
    const depth = (warm - 0.5 + cold / (cold - above)) * width
    expect(depth).toBeCloseTo(0.677, 2)
  })

  test('a rod on a hot end: steady fin with an insulated tip, cosh m(L−x)/cosh mL (Incropera, fins; from memory)', () => {
    const cells = 100
    const [length, diameter, k, film] = [0.6, 0.03, 45, 12]
    const width = length / cells
    const section = (Math.PI / 4) * diameter ** 2
    const nodes: NetworkNode[] = [{ parent: -1, link: 0, capacity: 1e12, toAir: 0, toCoolant: 0 }]
    for (let i = 0; i < cells; i++)
      nodes.push({
        parent: i,
        link: ((i === 0 ? 2 : 1) * k * section) / width,
        capacity: 3.69e6 * section * width,
        toAir: film * Math.PI * diameter * width,
        toCoolant: 0,
      })
    const network = new ThermalNetwork(nodes, 20)
    network.temperature[0] = 30
    for (let n = 0; n < 300; n++) network.step(300, 20, 0)
    const m = Math.sqrt((4 * film) / (k * diameter))
    for (const i of [1, 25, 50, 75, 100]) {
      const x = (i - 0.5) * width
      const expected = 20 + (10 * Math.cosh(m * (length - x))) / Math.cosh(m * length)
      expect(network.temperature[i]).toBeCloseTo(expected, 2)
    }
  })
})

test('half the step, a quarter of the error', () => {
  const errorWith = (h: number): number => {
    const network = new ThermalNetwork([{ parent: -1, link: 0, capacity: 1000, toAir: 1, toCoolant: 0 }], 0)
    for (let time = 0; time < 1200; time += h) network.step(h, 1, 0)
    return Math.abs(network.temperature[0]! - (1 - Math.exp(-1.2)))
  }
  expect(errorWith(300) / errorWith(150)).toBeGreaterThan(3.5)
  expect(errorWith(300) / errorWith(150)).toBeLessThan(4.5)
})

test('a very stiff network does not swing', () => {
  const network = new ThermalNetwork([{ parent: -1, link: 0, capacity: 1, toAir: 10, toCoolant: 0 }], 0)
  for (let n = 0; n < 5; n++) {
    network.step(300, 20, 0)
    expect(Math.abs(network.temperature[0]! - 20)).toBeLessThan(0.05)
  }
})

test('a child before its parent is refused', () => {
  const node = { parent: -1, link: 1, capacity: 1, toAir: 0, toCoolant: 0 }
  expect(() => new ThermalNetwork([node, { ...node, parent: 1 }], 20)).toThrow(/parents before children/)
  expect(() => new ThermalNetwork([{ ...node, capacity: 0 }], 20)).toThrow(/no heat capacity/)
})
