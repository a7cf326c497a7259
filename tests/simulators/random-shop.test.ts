import { describe, expect, it } from 'vitest'
import { parseShop } from '../../server/shop/parse.js'
import {
  createSimulatedShop,
  faultKinds,
  type Message,
  type RandomPlant,
  randomPlant,
  shopFile,
} from '../../simulators/index.js'

const seeds = Array.from({ length: 100 }, (_, i) => 501 + i)
const plants = seeds.map(randomPlant)

/** the number at the beginning of a quantity as written */
const written = (text: string): number => Number.parseFloat(text)
/** the relative standard uncertainty behind ± */
const relative = (text: string): number => Number.parseFloat(text.split('±')[1]!) / 100

const rms = (values: readonly number[]): number => Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length)

describe('files of a hundred random shops', () => {
  const shops = plants.map(plant => {
    const parsed = parseShop(shopFile(plant), 'random.yaml')
    if ('problems' in parsed) throw new Error(JSON.stringify(parsed.problems))
    return parsed.shop
  })

  it('parse, are marked as invented and have the machines, axes, sensors and work of the plant', () => {
    shops.forEach((shop, i) => {
      const plant = plants[i]!
      expect(shop.invented).toBe(true)
      expect(shop.name).toContain('(invented)')
      expect(shop.machines.map(m => m.id)).toEqual(plant.machines.map(m => m.id))
      expect(shop.machines.flatMap(m => m.axes.map(a => `${m.id} ${a.id}`))).toEqual(
        plant.machines.flatMap(m => m.axes.map(a => `${m.id} ${a.id}`)),
      )
      expect(shop.sensors.map(s => s.topic)).toEqual(plant.sensors.map(s => s.topic))
      expect(shop.sensors.map(s => s.interval)).toEqual(plant.sensors.map(s => s.interval))
      expect(shop.workClasses.length).toBeGreaterThanOrEqual(2)
      for (const { material } of shop.workClasses) expect(Object.keys(plant.partAlpha)).toContain(material.name)
    })
  })

  it('give lengths as they are in the plant, to 3 µm (written in inches or millimetres)', () => {
    shops.forEach((shop, i) => {
      shop.machines.forEach((machine, m) => {
        const truth = plants[i]!.machines[m]!
        machine.axes.forEach((axis, a) => {
          const plant = truth.axes[a]!
          expect(Math.abs(axis.travel - plant.travel)).toBeLessThan(3e-6)
          expect(Math.abs(axis.workAt - plant.workAt)).toBeLessThan(3e-6)
          expect(Math.abs(axis.measuring.fixedAt - plant.measuring.fixedAt)).toBeLessThan(3e-6)
        })
        machine.structure.forEach((element, e) => {
          const plant = truth.structure[e]!
          expect(element).toMatchObject({ kind: plant.kind, axis: plant.axis, sign: plant.sign })
          if (element.kind === 'bar' && plant.kind === 'bar')
            expect(Math.abs(element.length - plant.length)).toBeLessThan(3e-6)
        })
      })
    })
  })

  it('name the casting that carries the bearing of each plain screw, with a sensor or without', () => {
    let unmeasured = 0
    shops.forEach((shop, i) => {
      shop.machines.forEach((machine, m) => {
        const { axes, bodies } = plants[i]!.machines[m]!
        machine.axes.forEach(({ measuring }, a) => {
          if (measuring.kind === 'scale' || measuring.mounting.kind === 'both ends fixed') return
          const plant = axes[a]!.measuring
          if (plant.kind !== 'screw') throw new Error(`${machine.id} has no screw there`)
          const { bearingOn } = measuring.mounting
          const carrier = bodies.find(({ id }) => id === plant.bearing)!.on!
          expect(bearingOn).toEqual(plant.core ? undefined : { [carrier]: 1 })
          if (plant.core) return
          const sensed = shop.sensors.some(
            ({ at }) => at.kind === 'node' && at.machine === machine.id && at.node === carrier,
          )
          expect(machine.nodes.find(({ id }) => id === carrier)!.required).toBe(sensed)
          if (!sensed) unmeasured++
        })
      })
    })
    expect(unmeasured).toBeGreaterThan(20)
  })

  it('differ in everything', () => {
    const kinds = (of: (plant: RandomPlant) => string): number => new Set(plants.map(of)).size
    expect(kinds(p => String(p.start))).toBeGreaterThan(60)
    expect(kinds(p => p.timeZone)).toBeGreaterThan(8)
    expect(kinds(p => String(p.machines.length))).toBe(4)
    expect(kinds(p => p.zones.map(z => z.climate.kind).join())).toBeGreaterThan(4)
    const measuring = new Set(
      plants.flatMap(p =>
        p.machines.flatMap(m =>
          m.axes.map(({ measuring: by }) => (by.kind === 'scale' ? 'scale' : by.core ? 'cooled' : by.mounting.kind)),
        ),
      ),
    )
    expect(measuring).toEqual(new Set(['scale', 'cooled', 'one end fixed', 'both ends fixed']))
    expect(plants.some(p => p.machines.some(m => m.structure.some(e => e.kind === 'bending column')))).toBe(true)
    expect(shops.some(shop => shop.sensors.some(s => s.unit === '°F'))).toBe(true)
    const faulty = plants.filter(p => p.faults.length > 0).length
    expect(faulty).toBeGreaterThan(20)
    expect(faulty).toBeLessThan(50)
    // every kind of fault occurs, also those that look like a temperature
    expect(new Set(plants.flatMap(p => p.faults.map(({ kind }) => kind)))).toEqual(new Set(Object.keys(faultKinds)))
    for (const { faults, sensors } of plants)
      for (const { sensor } of faults) expect(sensors.map(s => s.id)).toContain(sensor)
  })

  it('the same seed gives the same shop, another another', () => {
    expect(randomPlant(501)).toEqual(plants[0])
    expect(shopFile(randomPlant(502))).not.toBe(shopFile(plants[0]!))
  })
})

describe('the truth lies around what is stated as widely as the stated uncertainty says', () => {
  it('expansion of screws, scales and parts', () => {
    const errors = plants.flatMap(({ stated, machines, partAlpha }) => {
      const error = (name: string, alpha: number): number => {
        const { expansion } = stated.materials[name]!
        return (alpha * 1e6) / written(expansion) / relative(expansion) - 1 / relative(expansion)
      }
      const parts = Object.entries(partAlpha).map(([name, alpha]) => error(name, alpha))
      const own = machines.flatMap(m =>
        m.axes.map(axis => {
          const text = stated.machines[m.id]!.axes[axis.id]!
          return error((text.screw ?? text.scale)!.material, axis.measuring.alpha)
        }),
      )
      return [...parts, ...own]
    })
    // drawn from a normal distribution cut at 2.5 σ, which has a standard deviation of 0.95
    expect(rms(errors)).toBeGreaterThan(0.85)
    expect(rms(errors)).toBeLessThan(1.05)
  })

  it('sensors on screws, scales and castings, of twelve shops, over three days', () => {
    const errors: number[] = []
    for (const plant of plants.slice(0, 12)) {
      const shop = createSimulatedShop(plant, { seed: 1, start: plant.start })
      const { unit, uncertainty } = plant.stated['sensor defaults']
      const newest = new Map<string, number>()
      const compare = (machine: string, node: string, implied: number): void => {
        const celsius = newest.get(`shop/${machine}/${node}`)!
        const place = written(plant.stated.machines[machine]!.nodes[node]!.placement!)
        errors.push((celsius - implied) / Math.hypot(place, written(uncertainty)))
      }
      for (let hour = 2; hour <= 72; hour += 2) {
        const take = ({ topic, payload }: Message) => {
          const content: unknown = JSON.parse(payload)
          const value = typeof content === 'number' ? content : Object.values(content as Record<string, unknown>)[0]
          if (typeof value === 'number') newest.set(topic, unit === '°F' ? (value - 32) / 1.8 : value)
        }
        shop.advance(plant.start + hour * 3_600_000, take, 60)
        for (const { id, axes, structure } of plant.machines)
          for (const { id: axis, workAt, measuring } of axes) {
            const { atWork, structure: rest } = shop.truth().machines[id]!.axes[axis]!
            const reach = workAt - measuring.fixedAt
            const plain = measuring.kind === 'scale' || (measuring.mounting.kind === 'one end fixed' && !measuring.core)
            // the mean temperature that the true growth means
            if (plain && Math.abs(reach) > 0.05)
              compare(id, `${axis.toLowerCase()}-${measuring.kind}`, 20 + (atWork - rest) / (measuring.alpha * reach))
            const [only, ...more] = structure.filter(element => element.axis === axis)
            if (only?.kind === 'bar' && more.length === 0)
              compare(id, Object.keys(only.over)[0]!, 20 + rest / (only.sign * only.alpha * only.length))
          }
      }
    }
    expect(errors.length).toBeGreaterThan(1000)
    expect(rms(errors)).toBeGreaterThan(0.75)
    expect(rms(errors)).toBeLessThan(1.25)
  })
})
