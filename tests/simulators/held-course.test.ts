import { describe, expect, it } from 'vitest'
import { createSimulatedShop, randomPlant } from '../../simulators/index.js'
import { createMachine } from '../../simulators/machine.js'
import { randomStream } from '../../simulators/random.js'

const horizons = [0, 300, 900, 3600, 7200]

describe('the course of a machine if conditions hold', () => {
  const plant = randomPlant(7)
  const shop = createSimulatedShop(plant, { seed: 7, start: plant.start })
  shop.advance(plant.start + 9 * 3_600_000, () => {}, 3600)
  const before = JSON.stringify(shop.truth())

  it('begins with what is true now and goes where the held drift says', () => {
    for (const { id } of plant.machines)
      for (const conditions of ['lately', 'now'] as const) {
        const course = shop.heldCourse(id, horizons, conditions)
        const drift = shop.heldDrift(horizons, conditions)[id]!
        const { axes, partTemperature } = shop.truth().machines[id]!
        expect(course.map(({ ahead }) => ahead)).toEqual(horizons)
        expect(course[0]!.axes).toEqual(axes)
        expect(course[0]!.partTemperature).toBe(partTemperature)
        for (const [axis, { atWork }] of Object.entries(axes))
          course.forEach((moment, i) => {
            expect(moment.axes[axis]!.atWork - atWork).toBeCloseTo(drift[axis]![i]!, 12)
          })
      }
  })

  it('changes nothing in the shop, and knows only its machines', () => {
    expect(JSON.stringify(shop.truth())).toBe(before)
    expect(() => shop.heldCourse('mill-77', horizons)).toThrow('mill-77')
  })

  it('comes true where conditions do hold: growth to 1 % and 0.15 µm, the part to 0.02 K', () => {
    const [of] = plant.machines
    const still = {
      ...of!,
      eddies: { spread: 0, memory: 200 },
      ...(of!.coolant && { coolant: { ...of!.coolant, ripple: 0 } }),
    }
    const machine = createMachine(still, randomStream(1, 'held'), 20)
    const beside = (zone: number) => new Float64Array(still.influences.length).fill(zone)
    const around = (zone: number) => ({ zone, beside: beside(zone), outdoors: 20, sun: 0, hour: 12 })
    const live = (seconds: number, zone: number): void => {
      for (let t = 0; t < seconds; t += 10) machine.step(0, 10, around(zone), { spindle: 0.3, motion: 0.2 }, true)
    }
    live(7200, 24)
    live(2400, 18)
    const said = machine.heldCourse([900, 3600, 7200], 'now')
    const start = machine.growth()
    let passed = 0
    for (const { ahead, axes, partTemperature } of said) {
      live(ahead - passed, 18)
      passed = ahead
      expect(Math.abs(machine.partTemperature() - partTemperature)).toBeLessThan(0.02)
      for (const [axis, growth] of Object.entries(machine.growth())) {
        const change = Math.abs(growth.atWork - start[axis]!.atWork)
        expect(Math.abs(growth.atWork - axes[axis]!.atWork)).toBeLessThan(0.01 * change + 1.5e-7)
      }
    }
  })
})
