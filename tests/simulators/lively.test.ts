import { describe, expect, it } from 'vitest'
import { describeProblems } from '../../server/shop/index.js'
import { parseShop } from '../../server/shop/parse.js'
import { assemble } from '../../simulators/assembly.js'
import { createSimulatedShop, livelyPlant, randomPlant, shopFile } from '../../simulators/index.js'
import { createLoad } from '../../simulators/load.js'
import type { MachinePlant } from '../../simulators/plant.js'

const plants = Array.from({ length: 30 }, (_, i) => livelyPlant(randomPlant(i), i))
const machines = plants.flatMap(plant => plant.machines)

describe('shops where not all goes by plan', () => {
  it('are the same for the same seed, and described in a file that parses', () => {
    expect(livelyPlant(randomPlant(3), 3)).toEqual(plants[3])
    for (const plant of plants.slice(0, 10)) {
      const parsed = parseShop(shopFile(plant), plant.name)
      expect('problems' in parsed ? describeProblems(parsed.problems) : '').toBe('')
    }
  })

  it('have sun, traffic, poor contacts and cold parts, each in some and not in all', () => {
    const some = (found: boolean[]) => {
      expect(found).toContain(true)
      expect(found).toContain(false)
    }
    some(machines.map(machine => machine.sun !== undefined))
    some(plants.flatMap(({ sources }) => sources.flatMap(s => (s.kind === 'door' ? [s.traffic !== undefined] : []))))
    some(plants.flatMap(({ sensors }) => sensors.map(({ airShare }) => airShare > 0.05)))
    some(machines.map(({ duty }) => duty.irregular!.brought.chance > 0))
  })

  it('begin jobs of any weight and length, in other places, with parts that are not quite soaked', () => {
    const chanceOf = ({ duty }: MachinePlant) => duty.irregular!.brought.chance
    const { id, ...machine } = machines.reduce((most, of) => (chanceOf(of) > chanceOf(most) ? of : most))
    const plant = plants.find(({ machines }) => machines.some(of => of.duty === machine.duty))!
    const shop = createSimulatedShop(plant, { seed: 1, start: plant.start })
    const jobs = new Set<NonNullable<ReturnType<typeof shop.job>>>()
    let colder = 0
    for (let now = plant.start; now < plant.start + 7 * 86_400_000; now += 120_000) {
      const before = shop.truth().machines[id]!.partTemperature
      shop.advance(now, () => {}, 3600)
      const job = shop.job(id)
      const isNew = job && !jobs.has(job)
      if (job) jobs.add(job)
      if (!isNew || !job.brought) continue
      const towards = shop.climate().outdoors - before
      const moved = shop.truth().machines[id]!.partTemperature - before
      if (Math.abs(towards) > 2 && Math.sign(moved) === Math.sign(towards)) colder++
    }
    const all = [...jobs]
    expect(all.length).toBeGreaterThan(10)
    const spread = (of: number[]) => Math.max(...of) - Math.min(...of)
    expect(spread(all.map(({ spindle }) => spindle))).toBeGreaterThan(0)
    expect(spread(all.map(({ from, to }) => to - from))).toBeGreaterThan(0.3)
    expect(new Set(all.map(({ nutAt }) => nutAt)).size).toBeGreaterThan(1)
    expect(colder).toBeGreaterThan(0)
  })
})

describe('what a machine takes up', () => {
  const plant: MachinePlant = { ...machines.find(({ axes }) => axes[0]!.measuring.kind === 'screw')!, sun: undefined }
  const [axis] = plant.axes
  const built = assemble(plant, 20)
  const strip = built.strips[0]!
  const heatOf = (load: Parameters<ReturnType<typeof createLoad>['setHeat']>[1], of = plant) => {
    createLoad(of, built).setHeat(built.network, load)
    return [...built.network.heat]
  }
  const sum = (values: number[]) => values.reduce((a, b) => a + b, 0)

  it('is the same wherever the nut works, but lies elsewhere', () => {
    const working = { spindle: 0, motion: 1, sun: 0 }
    const middleOf = (nutAt: number) => {
      const heat = heatOf({ ...working, nutAt }).slice(strip.first, strip.first + strip.cells)
      return sum(heat.map((h, k) => h * (strip.begin + (k + 0.5) * strip.width))) / sum(heat)
    }
    expect(sum(heatOf({ ...working, nutAt: 0.2 }))).toBeCloseTo(sum(heatOf(working)), 9)
    const moved = middleOf(0.2) - middleOf(0)
    expect(moved).toBeGreaterThan(0.05 * axis!.travel)
    expect(moved).toBeLessThan(0.25 * axis!.travel)
  })

  it('is the sun on the skin of one body', () => {
    const body = plant.bodies[0]!.id
    const sunny = heatOf({ spindle: 0, motion: 0, sun: 50 }, { ...plant, sun: { body, power: 80, hours: [9, 11] } })
    expect(sunny[built.bodyOf(body).skin]).toBe(50)
    expect(sum(sunny)).toBe(50)
  })
})
