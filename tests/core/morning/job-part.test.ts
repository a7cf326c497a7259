import { describe, expect, it } from 'vitest'
import { thermalOf } from '../../../core/materials.js'
import { type PlannedJob, partTimeConstant } from '../../../core/morning/index.js'
import { partOf } from '../../../core/morning/job-part.js'
import { type CutPart, letSoak, soakedAfter } from '../../../simulators/soaking-part.js'
import { hour, minute, now } from './situations.js'

const followed = {
  temperature: 20,
  steadyTemperature: 20,
  timeConstant: 1800,
  slope: 0,
  uncertainty: 0.2,
  uncertaintySoaked: 0.2,
}
/** W/m²/K; bright metal in still air, as likely */
const film = 4.5

/** along each side: a part within which temperatures hardly differ is cut well enough so, to 0.02 % of the time */
const cells = 4

/** the part of the simulator, cut into cells, in still air */
const cut = (material: string, body: CutPart['body']): CutPart => {
  const { conductivity, density, specificHeat } = thermalOf(material)!
  return { conductivity, volumeHeat: density * specificHeat, body, film, below: film }
}

describe('the time constant of a planned part', () => {
  it.each<[string, PlannedJob['size'], CutPart['body']]>([
    ['steel', { diameter: 0.08 }, { kind: 'cylinder', diameter: 0.08, length: 0.08 }],
    ['stainless 304', { diameter: 0.3 }, { kind: 'cylinder', diameter: 0.3, length: 0.3 }],
    ['aluminium', { thickness: 0.02 }, { kind: 'block', size: [0.02, 0.6, 0.6] }],
  ])(
    'of %s, %j: a simulated part has a tenth and a third of its difference left when it says so',
    (material, size, body) => {
      const timeConstant = partTimeConstant({ material, size })!
      const part = cut(material, body)
      for (const left of [0.1, 0.33]) {
        const said = timeConstant * Math.log(1 / left)
        expect(Math.abs(soakedAfter(part, cells, left) / said - 1)).toBeLessThan(0.12)
      }
    },
  )

  it('of a mass lies between those of a ball and of a thin part of it; none is told of what the table does not know', () => {
    const { density, specificHeat } = thermalOf('grey iron')!
    const diameter = Math.cbrt((6 * 38) / density / Math.PI)
    const ball = (density * specificHeat * diameter) / 6 / film
    const found = partTimeConstant({ material: 'grey iron', size: { mass: 38 } })!
    expect(found).toBeGreaterThan(0.4 * ball)
    expect(found).toBeLessThan(ball)
    expect(partTimeConstant({ material: 'our own glass', size: { mass: 38 } })).toBeNull()
    expect(partTimeConstant({ material: 'steel' })).toBeNull()
  })
})

describe('the part of a planned job', () => {
  const outdoors = (broughtIn: number) => ({ from: { kind: 'outdoors', broughtIn } }) as const

  it('is as warm as a simulated part that was brought in as long ago', () => {
    const body = { kind: 'cylinder', diameter: 0.08, length: 0.08 } as const
    const timeConstant = partTimeConstant({ material: 'steel', size: { diameter: 0.08 } })
    letSoak(cut('steel', body), cells, (elapsed, mean) => {
      if (elapsed > 6 * 3600) return false
      const { part } = partOf(outdoors(now - elapsed * 1000), followed, now, -5, timeConstant)
      // of 25 K
      expect(Math.abs(part.temperature - (20 - 25 * mean))).toBeLessThan(0.6)
      return true
    })
  })

  it('that is still to come in is followed back, and is as it comes when it does', () => {
    const { part, notBefore } = partOf(outdoors(now + hour), followed, now, -5, null)
    expect(notBefore).toBe(now + hour)
    const later = 20 + (part.temperature - 20) * Math.exp(-3600 / 1800)
    expect(later).toBeCloseTo(-5, 9)
  })

  it('is less known the shorter it has been here, and as well as any when it has been here long', () => {
    const knownTo = (ago: number, temperature: number | null = -5) =>
      partOf(outdoors(now - ago), followed, now, temperature, null).part.uncertainty
    expect(knownTo(minute)).toBeGreaterThan(2)
    expect(knownTo(minute, null)).toBeGreaterThan(9)
    expect(knownTo(12 * hour)).toBeCloseTo(0.2, 2)
    expect(partOf({ from: { kind: 'shop' } }, followed, now, null, null).part).toEqual(followed)
  })
})
