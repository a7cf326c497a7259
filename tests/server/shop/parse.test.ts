import { describe, expect, it } from 'vitest'
import type { Shop } from '../../../core/shop.js'
import { describeProblems, readShop } from '../../../server/shop/index.js'
import { parseShop } from '../../../server/shop/parse.js'
import { changed, smallShop } from './small-shop.js'

const shopOf = (text: string): Shop => {
  const parsed = parseShop(text, 'small.yaml')
  if ('problems' in parsed) throw new Error(describeProblems(parsed.problems))
  return parsed.shop
}

describe('a shop file', () => {
  const shop = shopOf(smallShop)
  const mill = shop.machines[0]!

  it('becomes a shop in SI', () => {
    expect(shop).toMatchObject({ name: 'Small shop (invented)', timeZone: 'America/Chicago', invented: true })
    expect(shop.referenceTemperature).toBeCloseTo(20, 10)
    expect(shop.sources).toEqual([
      { id: 'dock-door', name: 'Dock door', kind: 'door' },
      { id: 'oven', name: 'oven', kind: 'heat source' },
    ])
    expect(mill).toMatchObject({ id: 'mill-a', name: 'Mill A', description: 'vertical', place: 'by the door' })
    expect(mill.exposedTo).toEqual(['dock-door', 'oven'])
    expect(mill.makes).toEqual(['Pump housing', 'Shaft*', 'bores'])
    expect(mill.workpiece.node).toBe('air')
    expect(mill.workpiece.uncertainty).toBeCloseTo(5 / 18, 12)
    expect(mill.workpiece.timeConstant).toBe(3600)
  })

  it('says units and clock of its people, where it says any', () => {
    expect(shop).not.toHaveProperty('units')
    const said = shopOf(changed('  invented: true', '  units: tenths\n  clock: 12 h\n  invented: true'))
    expect(said).toMatchObject({ units: 'tenths', clock: '12 h' })
    expect(() => shopOf(changed('  invented: true', '  units: miles\n  invented: true'))).toThrow(
      /metric, inch, tenths/,
    )
  })

  it('gives nodes their defaults', () => {
    expect(mill.nodes).toEqual([
      { id: 'air', name: 'air at the machine', kind: 'air', placementUncertainty: 0.3, required: true },
      {
        id: 'screw',
        name: 'X screw',
        kind: 'body',
        follows: 'air',
        timeConstant: 2700,
        timeConstantUncertainty: 0.2,
        steadyExcess: 1.5,
        placementUncertainty: 0.2,
        required: true,
      },
      {
        id: 'bed',
        name: 'bed',
        kind: 'body',
        follows: 'air',
        timeConstant: 14_400,
        timeConstantUncertainty: 0.3,
        placementUncertainty: 0.2,
        required: true,
      },
      {
        id: 'front',
        name: 'front',
        kind: 'body',
        follows: 'air',
        timeConstant: 10_800,
        timeConstantUncertainty: 1 / 3,
        placementUncertainty: 0.2,
        required: true,
        standIn: { node: 'rear', uncertainty: 0.8 },
      },
      {
        id: 'rear',
        name: 'rear',
        kind: 'body',
        follows: 'air',
        timeConstant: 5400,
        timeConstantUncertainty: 0.3,
        placementUncertainty: 0.2,
        required: true,
      },
      { id: 'lamp', name: 'lamp', kind: 'air', placementUncertainty: 0.2, required: false },
    ])
  })

  it('reads axes by screw and by scale', () => {
    const [x, y, z] = mill.axes
    expect(x).toEqual({
      id: 'X',
      travel: 0.508,
      workAt: 0.254,
      measuring: {
        kind: 'screw',
        material: { name: 'screw steel', alpha: 12e-6, alphaUncertainty: 0.04 },
        nodes: { screw: 1 },
        fixedAt: -0.08,
        mounting: { kind: 'one end fixed' },
      },
    })
    expect(y!.measuring).toMatchObject({
      kind: 'screw',
      mounting: { kind: 'both ends fixed', stretch: 3, bed: { material: { name: 'grey iron' }, nodes: { bed: 1 } } },
    })
    expect(z).toMatchObject({
      workAt: 0.3,
      measuring: {
        kind: 'scale',
        material: { name: 'own glass', alphaUncertainty: 0.02 },
        nodes: { front: 0.25, rear: 0.75 },
      },
    })
  })

  it('reads what carries the fixed bearing of a screw, one casting or several', () => {
    const mountingWith = (carrier: string) => {
      const text = changed('mounting: one end fixed', `mounting: one end fixed, bearing on: ${carrier}`)
      const { measuring } = shopOf(text).machines[0]!.axes[0]!
      return measuring.kind === 'screw' ? measuring.mounting : null
    }
    expect(mountingWith('bed')).toEqual({ kind: 'one end fixed', bearingOn: { bed: 1 } })
    expect(mountingWith('{ bed: 60 %, front: 0.4 }')).toEqual({
      kind: 'one end fixed',
      bearingOn: { bed: 0.6, front: 0.4 },
    })
  })

  it('reads bars and bending columns', () => {
    expect(mill.structure).toMatchObject([
      {
        kind: 'bar',
        id: 'z-column',
        name: 'column',
        axis: 'Z',
        sign: 1,
        length: 0.6,
        nodes: { front: 0.5, rear: 0.5 },
      },
      {
        kind: 'bending column',
        id: 'y-column',
        axis: 'Y',
        sign: -1,
        height: 0.7,
        depth: 0.35,
        front: { front: 1 },
        rear: { rear: 1 },
      },
    ])
  })

  it('reads how far inside the share an error must lie', () => {
    const ruled = (rule: string) =>
      shopOf(changed('  invented: true', `  decision rule: ${rule}\n  invented: true`)).decisionRule
    expect(shop.decisionRule).toBeUndefined()
    // one-sided 95 %: table of the normal distribution
    expect(ruled('one-sided 95 %')!.coverage).toBeCloseTo(1.6449, 4)
    expect(ruled('99 %')).toMatchObject({ probability: 0.99 })
    expect(ruled('k = 2')).toEqual({ coverage: 2 })
  })

  it('reads work classes', () => {
    expect(shop.workClasses[0]).toMatchObject({ id: 'bores', duration: 2700, share: 0.3, zeroedAt: 'job start' })
    expect(shop.workClasses[0]!.tolerance).toBeCloseTo(22.86e-6, 12)
    expect(shop.workClasses[0]!.material.name).toBe('aluminium 6061')
    // IT7 for 80 to 120 mm is 35 µm: ISO 286-1, table 1
    expect(shop.workClasses[1]!.tolerance).toBeCloseTo(35e-6, 12)
    expect(shop.workClasses[1]).toMatchObject({ name: 'plates', zeroedAt: 'datum' })
    expect(shop.workClasses.map(({ ownHeat }) => ownHeat)).toEqual([undefined, undefined])
    const heavy = shopOf(changed('zeroed at: datum', 'zeroed at: datum, own heat: heavy'))
    expect(heavy.workClasses[1]!.ownHeat).toBe('heavy')
  })

  it('reads the batch a sensor shares an offset with, its own or what holds for all', () => {
    const own = changed('a-screw: { topic', 'a-screw: { batch: { name: old ones, uncertainty: 0.2 K }, topic')
    const usual = 'sensor defaults: { batch: { name: delivery 7, uncertainty: 0.1 °F },'
    const [air, screw] = shopOf(changed('sensor defaults: {', usual, own)).sensors
    expect(air!.batch!.name).toBe('delivery 7')
    expect(air!.batch!.uncertainty).toBeCloseTo(0.1 / 1.8, 12)
    expect(screw!.batch).toEqual({ name: 'old ones', uncertainty: 0.2 })
  })

  it('reads the resolution of a sensor, its own or what holds for all', () => {
    const own = changed('a-screw: { topic', 'a-screw: { resolution: 0.1 °F, topic')
    const [air, screw] = shopOf(changed('sensor defaults: {', 'sensor defaults: { resolution: 62.5e-3 K,', own)).sensors
    expect(air!.resolution).toBeCloseTo(0.0625, 12)
    expect(screw!.resolution).toBeCloseTo(0.1 / 1.8, 12)
  })

  // GUM (JCGM 100:2008) 4.3.10: one component must not be counted twice
  it('takes the uncertainty of a calibration in place of the stated one', () => {
    const written = '{ date: 2026-03-31, due: 2027-03-31, uncertainty: 0.03 K, certificate: no. 1234 }'
    const [air, screw] = shopOf(changed('a-air: {', `a-air: { calibration: ${written},`)).sensors
    expect(air!.calibration).toEqual({
      date: '2026-03-31',
      due: '2027-03-31',
      uncertainty: 0.03,
      certificate: 'no. 1234',
    })
    expect([air!.uncertainty, screw!.uncertainty]).toEqual([0.03, 0.05])
    const needless = changed('uncertainty: 0.05 K, payload', 'payload').replaceAll(
      / at: (mill-a|shop air)/g,
      ' calibration: { uncertainty: 0.03 K }, at: $1',
    )
    expect(shopOf(needless).sensors[1]!.uncertainty).toBe(0.03)
    const dated = shopOf(changed('a-air: {', 'a-air: { calibration: { due: 2027-03-31 },')).sensors[0]!
    expect([dated.calibration, dated.uncertainty]).toEqual([{ due: '2027-03-31' }, 0.05])
  })

  it('reads sensors, with what holds for all where they say nothing', () => {
    expect(shop.sensors[0]).toEqual({
      id: 'a-air',
      name: 'Mill A air',
      topic: 'a/air',
      payload: { kind: 'json', value: 'value', time: 'time' },
      unit: '°C',
      interval: 10,
      uncertainty: 0.05,
      offset: 0,
      at: { kind: 'node', machine: 'mill-a', node: 'air' },
    })
    expect(shop.sensors[1]).toMatchObject({ name: 'a screw', unit: '°F', payload: { kind: 'number' } })
    expect(shop.sensors[1]!.offset).toBeCloseTo(0.5, 12)
    expect(shop.sensors[2]!.payload).toEqual({ kind: 'json', value: 'data.bed' })
    expect(shop.sensors.slice(4).map(each => [each.at, each.unit, each.interval, each.uncertainty])).toEqual([
      [{ kind: 'source', source: 'dock-door' }, 'state', 60, 0.05],
      [{ kind: 'shop air' }, '°C', 10, 0.05],
      [{ kind: 'outdoors' }, 'K', 10, 0.3],
    ])
  })

  it('may leave out what a small shop does not have', () => {
    const bare = shopOf(`
shop: { name: Bare, time zone: UTC }
work classes: { c: { tolerance: 20 µm, feature: 3 in, material: steel, duration: 30 min, share: 30 % } }
machines:
  m:
    nodes: { air: { kind: air } }
    axes: { X: { travel: 20 in, work at: 0 in, scale: { material: steel, fixed at: 0 in, nodes: air } } }
    workpiece: { node: air, uncertainty: 0.3 K }
sensors: { s: { topic: t, at: m/air, interval: 10 s, uncertainty: 0.1 K } }
`)
    expect(bare).toMatchObject({ referenceTemperature: 20, invented: false, sources: [] })
    expect(bare.machines[0]).toMatchObject({ name: 'm', description: '', place: '', structure: [], exposedTo: [] })
    expect(bare.machines[0]!.workpiece.timeConstant).toBe(1800)
    expect(bare.sensors[0]).toMatchObject({ unit: '°C', offset: 0, payload: { kind: 'number' } })
  })

  it('may take one machine from another by YAML anchors', () => {
    const two =
      shopOf(`${changed('  mill-a:\n', '  mill-a: &a\n').replace('sensor defaults', '  mill-b: { <<: *a, name: Mill B }\nsensor defaults')}
  b-air: { topic: b/air, at: mill-b/air }
  b-screw: { topic: b/screw, at: mill-b/screw }
  b-bed: { topic: b/bed, at: mill-b/bed }
  b-rear: { topic: b/rear, at: mill-b/rear }
`)
    expect(two.machines.map(each => each.name)).toEqual(['Mill A', 'Mill B'])
    expect(two.machines[1]!.axes).toEqual(two.machines[0]!.axes)
  })
})

describe('the demo shop', () => {
  const parsed = readShop(new URL('../../../simulators/demo-shop.yaml', import.meta.url).pathname)
  it('is read without a problem', () => {
    expect('problems' in parsed ? describeProblems(parsed.problems) : '').toBe('')
  })
  it('is what issue and page promise: 8 machines, about 60 sensors, two doors, two vents, three heat sources, three work classes', () => {
    if ('problems' in parsed) throw new Error('not read')
    const { shop } = parsed
    expect(shop.machines).toHaveLength(8)
    expect(shop.sensors.length).toBeGreaterThanOrEqual(55)
    expect(['door', 'vent', 'heat source'].map(kind => shop.sources.filter(each => each.kind === kind).length)).toEqual(
      [2, 2, 3],
    )
    expect(shop.workClasses).toHaveLength(3)
    expect(shop.invented).toBe(true)
  })
})
