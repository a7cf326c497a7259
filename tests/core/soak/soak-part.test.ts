import { describe, expect, it } from 'vitest'
import { materials, thermalOf } from '../../../core/materials.js'
import { type Part, soakPart } from '../../../core/soak/index.js'

const material = (name: string) => materials.find(each => each.name === name)!
const gauge: Part = {
  material: material('gauge-block steel'),
  shape: { kind: 'block', length: 0.1, width: 0.035, height: 0.009 },
  surface: 'bright',
  length: 0.1,
}
const still = (temperature: number) => [{ after: 0, temperature }]
const soak = (part: Part, start: number, temperature = 20, allowed = 0.2e-6, place = 'still air' as const) =>
  soakPart(part, start, { place, course: still(temperature) }, allowed)

describe('a gauge block of 100 mm from a hand’s 28 °C', () => {
  it('takes hours in still air, less on granite, minutes on steel, moments under coolant', () => {
    const likely = (place: 'still air' | 'granite plate' | 'steel plate' | 'flood coolant') =>
      soakPart(gauge, 28, { place, course: still(20) }, 0.2e-6).ready.likely
    const [air, granite, steel, coolant] = [
      likely('still air'),
      likely('granite plate'),
      likely('steel plate'),
      likely('flood coolant'),
    ]
    expect(air).toBeGreaterThan(2 * 3600)
    expect(granite).toBeLessThan(air / 4)
    expect(steel).toBeLessThan(granite)
    expect(coolant).toBeLessThan(steel)
  })

  it('has a remaining error of what is allowed at the likely time, and less than it in all cases at the latest', () => {
    const { ready, remaining } = soak(gauge, 28)
    expect(remaining(0).likely).toBeCloseTo(11.5e-6 * 0.1 * 8, 12)
    expect(remaining(ready.likely).likely).toBeCloseTo(0.2e-6, 12)
    expect(remaining(ready.latest).likely).toBeLessThan(0.2e-6)
    const { low, high } = remaining(ready.likely)
    expect(low).toBeGreaterThanOrEqual(0)
    expect(high).toBeGreaterThan(0.2e-6)
    // a cold one is too short, and takes as long
    expect(soak(gauge, 12).remaining(0).likely).toBeCloseTo(-11.5e-6 * 0.1 * 8, 12)
    expect(soak(gauge, 12).ready.likely).toBeCloseTo(ready.likely, 3)
    expect(soak(gauge, 12).remaining(ready.likely).high).toBeLessThanOrEqual(0)
  })

  it('is ready at once where it is near enough already', () => {
    expect(soak(gauge, 20.1).ready.likely).toBe(0)
    expect(soak(gauge, 20).ready).toEqual({ earliest: 0, likely: 0, latest: 0 })
  })
})

describe('a part of which only the mass is known', () => {
  it('lies between what a ball and a flat part of that mass need', () => {
    const shape = { kind: 'mass', mass: 20 } as const
    const { ready } = soak({ ...gauge, surface: 'rough', shape }, 5)
    const { density } = gauge.material.thermal
    const ball = { kind: 'ball', diameter: Math.cbrt((6 * 20) / density / Math.PI) } as const
    const time = (of: Part['shape']) => soak({ ...gauge, surface: 'rough', shape: of }, 5).ready.likely
    expect(ready.likely).toBeLessThan(time(ball))
    expect(ready.latest).toBeGreaterThan(time(ball))
    const side = Math.cbrt(20 / density / 40)
    expect(ready.earliest).toBeLessThan(time({ kind: 'block', length: 10 * side, width: 4 * side, height: side }))
  })
})

describe('surroundings that change', () => {
  const jump = { after: 4 * 3600, temperature: 22 }
  const at = (course: { after: number; temperature: number }[], allowed = 0.5e-6) =>
    soakPart(gauge, 28, { place: 'still air', course }, allowed)

  it('begin the soak anew: ready from after the last change on, not in the pause before it', () => {
    const whole = at([...still(20), jump])
    // what the first jump leaves has the other sign and helps, so it cannot take longer than the second alone
    const alone = soakPart(gauge, 20, { place: 'still air', course: still(22) }, 0.5e-6).ready.likely
    expect(whole.ready.likely).toBeGreaterThan(jump.after)
    expect(whole.ready.likely).toBeLessThanOrEqual(jump.after + alone + 1)
    expect(whole.remaining(jump.after - 1).likely).toBeGreaterThan(0)
    expect(whole.remaining(jump.after + 1).likely).toBeLessThan(0)
  })

  it('that change by less than the share take nothing away', () => {
    const ready = at(still(20)).ready.likely
    expect(at([...still(20), { after: 86_400, temperature: 20.1 }]).ready.likely).toBeCloseTo(ready, 3)
  })

  it('in many small steps are the same as in one after another', () => {
    const steps = Array.from({ length: 24 }, (_, i) => ({ after: i * 600, temperature: 20 + i * 0.05 }))
    const { remaining } = at(steps)
    // by hand: the lump's equation, stepped
    const rate = -Math.log(soak(gauge, 21).remaining(600).likely / soak(gauge, 21).remaining(0).likely) / 600
    let temperature = 28
    for (const step of steps) temperature = step.temperature + (temperature - step.temperature) * Math.exp(-rate * 600)
    const difference = temperature - steps.at(-1)!.temperature
    expect(remaining(24 * 600).likely).toBeCloseTo(11.5e-6 * 0.1 * difference, 12)
  })
})

describe('what cannot be', () => {
  it('is refused, with what is wrong', () => {
    expect(() => soak({ ...gauge, shape: { kind: 'ball', diameter: 0 } }, 28)).toThrow(/diameter must be above 0/)
    expect(() => soak(gauge, 28, 20, 0)).toThrow(/allowed error must be above 0/)
    expect(() => soak(gauge, Number.NaN)).toThrow(/start temperature must be a number/)
    expect(() => soakPart(gauge, 28, { place: 'still air', course: [] }, 1e-6)).toThrow(/begin at 0 s/)
    expect(() => soakPart(gauge, 28, { place: 'still air', course: [...still(20), ...still(21)] }, 1e-6)).toThrow(
      /order of time/,
    )
  })
})

describe('how materials hold and carry heat', () => {
  it('is believable for each of the table, with its source', () => {
    for (const { name, thermal } of materials) {
      const { density, specificHeat, conductivity, source } = thermal
      // volumes of all solids hold about as much: 1.2 to 4.2 MJ/m³/K, nickel and its alloys the most
      expect(density * specificHeat, name).toBeGreaterThan(1.2e6)
      expect(density * specificHeat, name).toBeLessThan(4.2e6)
      expect(conductivity, name).toBeGreaterThan(1)
      expect(conductivity, name).toBeLessThanOrEqual(401)
      expect(source, name).toContain('from memory')
    }
  })
  it('is found by any name, and not known of a material that only the shop has', () => {
    expect(thermalOf('gray iron')).toBe(material('grey iron').thermal)
    expect(thermalOf('screw steel')).toBeNull()
  })
})
