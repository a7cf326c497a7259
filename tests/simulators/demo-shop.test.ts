import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { parse } from 'yaml'
import { createSimulatedShop, demoPlant } from '../../simulators/index.js'
import { createMachine } from '../../simulators/machine.js'
import type { ScalePlant, ScrewPlant } from '../../simulators/plant.js'
import { randomStream } from '../../simulators/random.js'

/** The demo shop's file as it is written, only as far as these tests look at it. */
interface PartFile {
  material: string
  'fixed at': string
  mounting?: string
  'bearing on'?: string
  stretch?: string
  nodes: string
  bed?: { material: string }
}
interface ElementFile {
  bar?: string
  axis: string
  sign: string
  length?: string
  height?: string
  depth?: string
  material: string
}
interface PayloadFile {
  value: string
  time: string
  battery?: string
  signal?: string
}
interface ShopFile {
  sources: Record<string, { kind: string }>
  'work classes': Record<string, { material: string }>
  machines: Record<
    string,
    {
      nodes: Record<string, { kind?: string; 'time constant'?: string }>
      axes: Record<string, { travel: string; 'work at': string; screw?: PartFile; scale?: PartFile }>
      structure: ElementFile[]
      workpiece: { node: string }
      'exposed to': string[]
    }
  >
  'sensor defaults': { unit: string; interval: string; payload: PayloadFile }
  sensors: Record<
    string,
    {
      topic: string
      at: string
      unit?: string
      interval?: string
      payload?: 'number' | PayloadFile
    }
  >
}
const file: ShopFile = parse(readFileSync(new URL('../../simulators/demo-shop.yaml', import.meta.url), 'utf8'))

const unitOf: Record<string, number> = { mm: 1e-3, in: 0.0254, s: 1, min: 60, h: 3600 }
const quantity = (text: string): number => {
  const [, number, unit] = /^(-?[\d.]+) (mm|in|s|min|h)\b/.exec(text)!
  return Number(number) * unitOf[unit!]!
}
/** 1/K; what the shop's people believe (Callister, appendix B.6; steel: ISO 3650, from memory; glass: 8.3 to 8.7) */
const believed: Record<string, number> = {
  steel: 11.5e-6,
  'grey iron': 11.4e-6,
  'float glass': 8.5e-6,
  'aluminium 6061': 23.6e-6,
}

describe('sensors', () => {
  const start = Date.UTC(2025, 3, 8, 6)
  const shop = createSimulatedShop(demoPlant, { seed: 1, start })
  const payloads = new Map<string, string[]>()
  shop.advance(start + 120_000, ({ topic, payload }) => {
    payloads.set(topic, [...(payloads.get(topic) ?? []), payload])
  })

  it('every topic of the file is published, and no other', () => {
    expect([...payloads.keys()].sort()).toEqual(
      Object.values(file.sensors)
        .map(sensor => sensor.topic)
        .sort(),
    )
  })

  it('names, places, units and intervals are those of the file', () => {
    expect(demoPlant.sensors.map(sensor => sensor.id).sort()).toEqual(Object.keys(file.sensors).sort())
    for (const { id, topic, unit, interval, measures } of demoPlant.sensors) {
      const written = file.sensors[id]!
      expect(topic).toBe(written.topic)
      expect(unit).toBe(written.unit ?? file['sensor defaults'].unit)
      expect(interval).toBe(quantity(written.interval ?? file['sensor defaults'].interval))
      if (measures.kind === 'zone') expect(written.at).toBe('shop air')
      else if (measures.kind === 'outdoors') expect(written.at).toBe('outdoors')
      else if (measures.kind === 'beside' || measures.kind === 'state')
        expect(written.at).toBe(`beside ${measures.source}`)
      else if (measures.kind === 'spindle') expect(written.at).toBe(`spindle of ${measures.machine}`)
      else expect(written.at).toBe(`${measures.machine}/${id.slice(measures.machine.length + 1)}`)
    }
  })

  it('payloads have the form the file says', () => {
    for (const [id, { topic, unit, payload = file['sensor defaults'].payload }] of Object.entries(file.sensors))
      for (const sent of payloads.get(topic)!) {
        const content: unknown = JSON.parse(sent)
        if (payload === 'number') {
          expect(content, id).toBeTypeOf('number')
          continue
        }
        const { [payload.value]: value, [payload.time]: time } = content as Record<string, string | number>
        if (unit === 'state') expect(['open', 'closed', 'on', 'off']).toContain(value)
        else if (unit === '°F') expect(value).toBeGreaterThan(55)
        else if (unit === '1/min') expect(value).toBeGreaterThanOrEqual(0)
        else expect(Math.abs(Number(value) - 20)).toBeLessThan(20)
        const tells = [payload.battery, payload.signal].filter(key => key !== undefined)
        expect(Object.keys(content as object), id).toEqual([payload.value, payload.time, ...tells])
        for (const key of tells) expect((content as Record<string, unknown>)[key]).toBeTypeOf('number')
        const at = new Date(time!).getTime()
        expect(at).toBeGreaterThan(start)
        expect(at).toBeLessThanOrEqual(start + 120_000)
      }
  })

  it('just one sensor sends a bare number', () => {
    expect(demoPlant.sensors.filter(sensor => sensor.payload.kind === 'number').map(sensor => sensor.id)).toEqual([
      'oven-air',
    ])
  })
})

describe('machines', () => {
  it('are those of the file, with the same axes, geometry, mounting and structure', () => {
    expect(demoPlant.machines.map(machine => machine.id).sort()).toEqual(Object.keys(file.machines).sort())
    for (const machine of demoPlant.machines) {
      const written = file.machines[machine.id]!
      expect(machine.axes.map(axis => axis.id)).toEqual(Object.keys(written.axes))
      expect(machine.influences.map(influence => influence.source).sort()).toEqual([...written['exposed to']].sort())
      expect(machine.part.follows).toBe(written.workpiece.node)
      for (const axis of machine.axes) {
        const axisFile = written.axes[axis.id]!
        const part: PartFile = (axisFile.screw ?? axisFile.scale)!
        expect(axis.measuring.kind).toBe(axisFile.screw ? 'screw' : 'scale')
        expect(axis.travel).toBeCloseTo(quantity(axisFile.travel), 9)
        expect(axis.workAt).toBeCloseTo(quantity(axisFile['work at']), 9)
        expect(axis.measuring.fixedAt).toBeCloseTo(quantity(part['fixed at']), 9)
        if (axis.measuring.kind === 'screw') {
          expect(axis.measuring.mounting.kind).toBe(part.mounting)
          expect(axis.measuring.core !== undefined).toBe(part.nodes === 'coolant')
          const { bearing, core, mounting } = axis.measuring
          const plain = mounting.kind === 'one end fixed' && core === undefined
          expect(part['bearing on']).toBe(plain ? machine.bodies.find(({ id }) => id === bearing)!.on : undefined)
        }
      }
      expect(machine.structure).toHaveLength(written.structure.length)
      machine.structure.forEach((element, i) => {
        const elementFile = written.structure[i]!
        expect(element.axis).toBe(elementFile.axis)
        expect(element.sign).toBe(elementFile.sign === '+' ? 1 : -1)
        if (element.kind === 'bar') {
          expect(element.length).toBeCloseTo(quantity(elementFile.length!), 9)
          expect(Object.values(element.over).reduce((a, b) => a + b, 0)).toBeCloseTo(1, 12)
        } else {
          expect(element.height).toBeCloseTo(quantity(elementFile.height!), 9)
          expect(element.depth).toBeCloseTo(quantity(elementFile.depth!), 9)
        }
      })
    }
  })

  it('expand otherwise than their people believe: by 1 to 5 %', () => {
    const off = (alpha: number, material: string) => Math.abs(alpha / believed[material]! - 1)
    const differences: number[] = []
    for (const machine of demoPlant.machines) {
      const written = file.machines[machine.id]!
      for (const axis of machine.axes) {
        const part: ScrewPlant | ScalePlant = axis.measuring
        const partFile: PartFile = (written.axes[axis.id]!.screw ?? written.axes[axis.id]!.scale)!
        differences.push(off(part.alpha, partFile.material))
      }
      machine.structure.forEach((element, i) => {
        differences.push(off(element.alpha, written.structure[i]!.material))
      })
    }
    for (const [material, alpha] of Object.entries(demoPlant.partAlpha)) differences.push(off(alpha, material))
    for (const difference of differences) {
      expect(difference).toBeGreaterThan(0.01)
      expect(difference).toBeLessThan(0.05)
    }
    const materials = Object.values(file['work classes']).map(workClass => workClass.material)
    for (const material of materials) expect(demoPlant.partAlpha).toHaveProperty(material)
  })

  it('settle otherwise than their people believe: every sensed node by up to 25 %, most by more than 5 %', () => {
    let clearly = 0
    let all = 0
    for (const plant of demoPlant.machines) {
      const quiet = { ...plant, influences: [], eddies: { spread: 0, memory: 100 } }
      const machine = createMachine(quiet, randomStream(1, 'step'), 20)
      const nodes = demoPlant.sensors.flatMap(({ id, measures }) => {
        if (measures.kind !== 'body' && measures.kind !== 'measuring part') return []
        if (measures.machine !== plant.id) return []
        const written = file.machines[plant.id]!.nodes[id.slice(plant.id.length + 1)]!
        return [{ id, read: machine.reader(measures), configured: quantity(written['time constant']!), reached: 0 }]
      })
      for (let time = 30; time < 12 * 3600; time += 30) {
        machine.step(
          time * 1000,
          30,
          { zone: 25, beside: new Float64Array(0), outdoors: 20, sun: 0, hour: 12 },
          { spindle: 0, motion: 0 },
          true,
        )
        for (const node of nodes) if (node.reached === 0 && node.read() >= 20 + 5 * 0.632) node.reached = time
      }
      for (const { id, configured, reached } of nodes) {
        const difference = Math.abs(reached / configured - 1)
        expect(difference, id).toBeLessThan(0.25)
        all++
        if (difference > 0.05) clearly++
      }
    }
    expect(clearly / all).toBeGreaterThan(0.8)
  })
})

it('sources are those of the file', () => {
  expect(Object.fromEntries(demoPlant.sources.map(source => [source.id, source.kind]))).toEqual(
    Object.fromEntries(Object.entries(file.sources).map(([id, source]) => [id, source.kind])),
  )
})
