import { describe, expect, it } from 'vitest'
import { barGrowth } from '../../../core/growth/bar.js'
import { conductionLength, heldLength, heldPart, riseBeyond } from '../../../core/growth/bearing.js'
import { thermalLoop } from '../../../core/growth/index.js'
import { heldScrewGrowth } from '../../../core/growth/screw.js'
import type { Axis, Machine, Screw } from '../../../core/shop.js'
import { growthOfAxes, machineWith, screwAxis, steel } from '../machines.js'

/**
 * A rod of 5 mm diameter with one end at 100 °C in air of 25 °C, film 100 W/m²/K: W/m/K, heat lost in W, and the length
 * that is long enough to count as infinite, 2.65 fin lengths, m.
 * Incropera, DeWitt, Bergman and Lavine, Fundamentals of Heat and Mass Transfer, example 3.9 (from memory).
 */
const rods = [
  { of: 'copper', conductivity: 398, heat: 8.3, longEnough: 0.19 },
  { of: 'aluminium 2024', conductivity: 180, heat: 5.6, longEnough: 0.13 },
  { of: 'stainless 316', conductivity: 14, heat: 1.6, longEnough: 0.04 },
]

describe('a rod held at one end', () => {
  const diameter = 0.005
  const film = 100
  // J/m³/K; the steady profile does not depend on it
  const heatCapacity = 3e6
  const timeConstant = (heatCapacity * diameter) / (4 * film)

  it.each(rods)('loses the heat and has the length of the textbook: $of', ({ conductivity, heat, longEnough }) => {
    const length = conductionLength(timeConstant, conductivity / heatCapacity)
    expect(2.65 * length).toBeCloseTo(longEnough, 2)
    expect(film * Math.PI * diameter * 75 * heldLength(10, length)).toBeCloseTo(heat, 1)
  })

  it('has the mean temperature of its profile, solved cell by cell', () => {
    // steady fin by finite volumes, base held, tip free, long against the conduction length: k A d²T/dx² = h P (T − T_air)
    const [conductivity, d, tau, cells, reach] = [45, 0.032, 2700, 4000, 2]
    const perVolume = (3.69e6 * d) / (4 * tau) / (d / 4)
    const width = reach / cells
    const link = conductivity / width ** 2
    const below = new Float64Array(cells)
    const right = new Float64Array(cells)
    for (let i = 0; i < cells; i++) {
      const toBase = i === 0 ? 2 * link : link
      const diagonal = toBase + (i === cells - 1 ? 0 : link) + perVolume
      const pivot = diagonal - (i === 0 ? 0 : link * below[i - 1]!)
      below[i] = link / pivot
      right[i] = ((i === 0 ? toBase : 0) + (i === 0 ? 0 : link * right[i - 1]!)) / pivot
    }
    const rest = new Float64Array(cells)
    for (let i = cells - 1; i >= 0; i--) rest[i] = right[i]! + (i === cells - 1 ? 0 : below[i]! * rest[i + 1]!)
    const length = conductionLength(tau, conductivity / 3.69e6)
    for (const distance of [0.1, 0.3, 0.6]) {
      const sum = rest.subarray(0, Math.round(distance / width)).reduce((a, b) => a + b, 0) * width
      expect(sum).toBeCloseTo(heldLength(distance, length), 5)
      // a cell's temperature is that of its middle
      expect(rest[Math.round(distance / width)]!).toBeCloseTo(heldPart(distance + width / 2, length), 5)
    }
  })
})

describe('a screw held by its bearing', () => {
  const length = conductionLength(2700)

  it('reaches some 0.15 to 0.2 m along a usual ball screw', () => {
    // common practice, no source
    expect(length).toBeGreaterThan(0.15)
    expect(length).toBeLessThan(0.2)
  })
  it('grows like a free one when the bearing is as warm as the screw', () => {
    expect(heldScrewGrowth(0.4, 11.5e-6, 2, 2, length)).toBeCloseTo(barGrowth(0.4, 11.5e-6, 2), 15)
  })
  it('grows with the bearing alone close to it, and by the whole conduction length less far from it', () => {
    expect(heldScrewGrowth(1e-4, 11.5e-6, 2, 0.5, length) / 1e-4).toBeCloseTo(11.5e-6 * 0.5, 7)
    const far = barGrowth(5, 11.5e-6, 2) - heldScrewGrowth(5, 11.5e-6, 2, 0.5, length)
    expect(far).toBeCloseTo(11.5e-6 * 1.5 * length, 12)
  })
  it('is the same on the other side of the bearing', () => {
    expect(heldScrewGrowth(-0.3, 11.5e-6, 2, 0.5, length)).toBeCloseTo(
      -heldScrewGrowth(0.3, 11.5e-6, 2, 0.5, length),
      15,
    )
  })
})

describe('thermal loop with a bearing on a casting', () => {
  const held = (axis: Axis): Axis => ({
    ...axis,
    measuring: { ...(axis.measuring as Screw), mounting: { kind: 'one end fixed', bearingOn: { bed: 1 } } },
  })
  const plain = screwAxis('X', 'screw', { travel: 0.6, workAt: 0.3, fixedAt: -0.08 })
  const machineOf = (axis: Axis): Machine => machineWith({ nodes: ['screw', 'bed'], axes: [axis] })
  const loop = thermalLoop(machineOf(held(plain)), 20)
  const [axis] = loop.axes
  const t = [20, 23, 21]
  const length = conductionLength(3600)

  it('gives each place its growth, and depends on the casting', () => {
    const [growth] = growthOfAxes(loop, { air: 20, screw: 23, bed: 21 })
    // the profile that has the bearing's 1 K at the bearing and the nut's 3 K at the work, 0.38 m from it
    const beyond = 1 + 2 / (1 - Math.exp(-0.38 / length))
    expect(riseBeyond(3, 1, 0.38, length)).toBeCloseTo(beyond, 12)
    expect(growth!.atWork).toBeCloseTo(heldScrewGrowth(0.38, steel.alpha, beyond, 1, length), 15)
    expect(growth!.atZero).toBeCloseTo(heldScrewGrowth(0.08, steel.alpha, beyond, 1, length), 15)
    expect(axis!.nodes).toEqual([1, 2])
    expect(growthOfAxes(loop, { air: 20, screw: 23 })[0]!.atWork).toBeNaN()
  })
  it('stretches a feature at the work by the slope of its growth there', () => {
    const h = 1e-3
    for (const bed of [21, 22.5]) {
      const at = [20, 23, bed]
      const slope = (axis!.growthAt(0.3 + h, at) - axis!.growthAt(0.3 - h, at)) / (2 * h)
      expect(axis!.growthPerMetre(at)).toBeCloseTo(slope, 10)
      expect(axis!.growthPerMetre(at)).toBeCloseTo(steel.alpha * 3, 12)
    }
  })
  it('says how much is held back, and how much warmer the screw is further out', () => {
    const { heldBack, unevenness } = axis!.bearing!
    expect(heldBack(t)).toBeCloseTo(barGrowth(0.38, steel.alpha, 3) - axis!.growthAt(0.3, t), 15)
    expect(unevenness(t)).toBeCloseTo(steel.alpha * (riseBeyond(3, 1, 0.38, length) - 3), 15)
    expect(heldBack([20, 22, 22])).toBeCloseTo(0, 15)
  })
  it('does not believe a place close to the bearing for the whole screw', () => {
    expect(riseBeyond(3, 1, 0.001, length)).toBeCloseTo(1 + 2 / (1 - Math.exp(-1)), 12)
  })
  it('is as warm far out on the other side of the bearing', () => {
    expect(riseBeyond(3, 1, -0.38, length)).toBeCloseTo(riseBeyond(3, 1, 0.38, length), 15)
    expect(heldPart(-0.38, length)).toBeCloseTo(heldPart(0.38, length), 15)
  })
  it('reaches as far as the time constants of the screw’s own nodes say, by their weights', () => {
    const [, screw, other] = machineWith({ nodes: ['screw', 'nut', 'bed'], axes: [] }).nodes
    const nodes = { air: 0.2, screw: 0.2, nut: 0.6 }
    const of = held({ ...plain, measuring: { ...(plain.measuring as Screw), nodes } })
    const mixed = machineWith({ nodes: ['screw', 'nut', 'bed'], axes: [of] })
    mixed.nodes.splice(1, 2, { ...screw!, timeConstant: 1200 }, { ...other!, timeConstant: 3600 })
    const reach = conductionLength((0.2 * 1200 + 0.6 * 3600) / 0.8)
    const expected = heldScrewGrowth(0.38, steel.alpha, riseBeyond(3, 1, 0.38, reach), 1, reach)
    expect(thermalLoop(mixed, 20).axes[0]!.growthAt(0.3, [23, 23, 23, 21])).toBeCloseTo(expected, 15)
  })
  it('is scaled as a whole by what was learned', () => {
    const [scaled] = thermalLoop(machineOf(held(plain)), 20, { 'X screw': 1.2 }).axes
    expect(scaled!.growthAt(0.3, t)).toBeCloseTo(1.2 * axis!.growthAt(0.3, t), 15)
    expect(scaled!.growthPerMetre(t)).toBeCloseTo(1.2 * axis!.growthPerMetre(t), 15)
  })
  it('changes nothing where no casting is named', () => {
    const [free] = thermalLoop(machineOf(plain), 20).axes
    expect(free!.growthAt(0.3, t)).toBeCloseTo(barGrowth(0.38, steel.alpha, 3), 15)
    expect(free!.growthPerMetre(t)).toBeCloseTo(steel.alpha * 3, 15)
    expect(free!.nodes).toEqual([1])
    expect(free!.bearing).toBeNull()
  })
  it('refuses a screw whose nodes have no time constant', () => {
    const cooled = held(screwAxis('X', 'air'))
    expect(() => thermalLoop(machineOf(cooled), 20)).toThrow('no time constant')
  })
})
