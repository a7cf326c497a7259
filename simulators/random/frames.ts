import { ironBody } from '../making.js'
import type { BodyPlant, StructurePlant } from '../plant.js'
import { aroundFactor, chance, rounded } from './draws.js'
import { trueAlpha } from './materials.js'
import type { Making, SensedNode } from './measuring.js'
import { type ElementText, kelvinText, lengthText, type NodeText, timeConstantText } from './shop-text.js'

export type FrameKind = 'mill' | 'lathe' | 'grinder'

/** The castings of a machine and what its thermal loop owes to them. */
interface Frame {
  bodies: BodyPlant[]
  nodes: SensedNode[]
  /** castings without a sensor, by id */
  unsensed: Record<string, NodeText>
  structure: StructurePlant[]
  texts: ElementText[]
  /** the body that takes the spindle's heat, and its W/K to the air */
  spindle: { body: string; toAir: number }
  /** the axes and which body carries each */
  axes: { id: string; travel: number; carrier: string }[]
  bed: { body: string; node: string }
}

interface Casting {
  id: string
  name: string
  mass: [number, number]
  hours: [number, number]
  on?: { body: string; joint: number }
  /** carries a sensor */
  sensed: boolean
}

/** What carries a sensor, if nothing else is said. @param mass kg @param hours its time constant @param on body and joint that carry it */
const casting = (
  id: string,
  mass: [number, number],
  hours: [number, number],
  on?: [body: string, joint: number],
): Casting => ({
  id,
  name: id.replaceAll('-', ' '),
  mass,
  hours,
  sensed: true,
  ...(on && { on: { body: on[0], joint: on[1] } }),
})

/** A casting as stated and as it is: its true time constant lies around the stated one. */
const cast = (making: Making, machine: string, { id, name, mass, hours, on, sensed }: Casting) => {
  const { random, timeConstantUncertainty, placement } = making
  const stated = rounded(random, ...hours, 0.25) * 3600
  const body = ironBody(
    id,
    random.between(...mass),
    aroundFactor(random, stated, timeConstantUncertainty) / 3600,
    on && { ...on, joint: on.joint * random.between(0.7, 1.3) },
  )
  const node: SensedNode = {
    id,
    text: {
      name,
      follows: 'air',
      'time constant': timeConstantText(stated, timeConstantUncertainty),
      placement: kelvinText(placement),
    },
    measures: { kind: 'body', machine, body: id },
    placement,
  }
  return { id, body, node: sensed ? node : null, unsensed: { ...node.text, required: false as const } }
}

/** A bar of the loop: most of it has the temperature of one casting, a little of it that of another. */
const bar = (
  making: Making,
  name: string,
  axis: string,
  sign: 1 | -1,
  length: number,
  body: string,
  other: string,
): { plant: StructurePlant; text: ElementText } => {
  const leak = making.random.between(0, 0.07)
  return {
    plant: {
      kind: 'bar',
      axis,
      sign,
      length,
      alpha: trueAlpha(making.random, making.materials.iron),
      over: { [body]: 1 - leak, [other]: leak },
    },
    text: {
      bar: name,
      axis,
      sign: sign > 0 ? '+' : '-',
      length: lengthText(length, making.lengths),
      material: making.materials.iron.name,
      nodes: body,
    },
  }
}

const put = (made: ReturnType<typeof cast>[], elements: ReturnType<typeof bar>[]) => ({
  bodies: made.map(({ body }) => body),
  nodes: made.flatMap(({ node }) => (node ? [node] : [])),
  unsensed: Object.fromEntries(made.flatMap(({ id, node, unsensed }) => (node ? [] : [[id, unsensed]]))),
  structure: elements.map(({ plant }) => plant),
  texts: elements.map(({ text }) => text),
})

/** Lengths in steps of the unit that a machine is described in. */
const lengthsOf =
  ({ random, lengths }: Making) =>
  (low: number, high: number) =>
    rounded(random, low, high, lengths === 'in' ? 0.0254 : 0.01)

/** The whole, on a bed. @param spindle the body that takes its heat */
const onBed = (frame: ReturnType<typeof put>, spindle: string, axes: Frame['axes']): Frame => ({
  ...frame,
  spindle: { body: spindle, toAir: frame.bodies.find(({ id }) => id === spindle)!.toAir },
  axes,
  bed: { body: 'bed', node: 'bed' },
})

const millFrame = (making: Making, machine: string, bedSensed: boolean): Frame => {
  const { random, materials, lengths } = making
  const length = lengthsOf(making)
  const bed = { ...casting('bed', [700, 1300], [3.5, 5]), sensed: bedSensed }
  const bends = chance(random, 0.4)
  const carrier = bends ? 'column-front' : 'column'
  const head = { ...casting('head', [70, 150], [1, 1.5], [carrier, 1.1]), name: 'spindle head' }
  const columns = bends
    ? [
        casting('column-front', [220, 350], [2, 3], ['bed', 2]),
        casting('column-rear', [180, 300], [1.5, 2.5], ['column-front', 4]),
      ]
    : [casting('column', [450, 750], [2.5, 4.5], ['bed', 4])]
  const made = [bed, ...columns, head].map(each => cast(making, machine, each))
  const headBar = bar(making, 'spindle head', 'Z', -1, length(0.2, 0.32), 'head', carrier)
  const height = length(0.5, 0.7)
  const columnBar = bar(making, 'column', 'Z', 1, height, carrier, bends ? 'column-rear' : 'bed')
  const frame = put(made, [columnBar, headBar])
  if (bends) {
    const half = random.between(0.45, 0.55)
    frame.structure[0] = {
      ...(columnBar.plant as Extract<StructurePlant, { kind: 'bar' }>),
      over: { 'column-front': half, 'column-rear': 1 - half },
    }
    frame.texts[0] = {
      ...(columnBar.text as Extract<ElementText, { bar: string }>),
      nodes: { 'column-front': 0.5, 'column-rear': 0.5 },
    }
    const depth = length(0.3, 0.45)
    frame.structure.push({
      kind: 'bending column',
      axis: 'Y',
      sign: 1,
      height,
      depth,
      alpha: trueAlpha(random, materials.iron),
      front: 'column-front',
      rear: 'column-rear',
    })
    frame.texts.push({
      'bending column': 'column',
      axis: 'Y',
      sign: '+',
      height: lengthText(height, lengths),
      depth: lengthText(depth, lengths),
      material: materials.iron.name,
      front: 'column-front',
      rear: 'column-rear',
    })
  }
  return onBed(frame, 'head', [
    { id: 'X', travel: length(0.5, 1.1), carrier: 'bed' },
    { id: 'Y', travel: length(0.38, 0.6), carrier: 'bed' },
    { id: 'Z', travel: length(0.4, 0.6), carrier },
  ])
}

const latheFrame = (making: Making, machine: string): Frame => {
  const length = lengthsOf(making)
  const made = [casting('bed', [800, 1400], [3.5, 5]), casting('headstock', [150, 280], [1, 1.75], ['bed', 2])].map(
    each => cast(making, machine, each),
  )
  const frame = put(made, [
    bar(making, 'bed', 'Z', 1, length(0.3, 0.5), 'bed', 'headstock'),
    bar(making, 'headstock height', 'X', 1, length(0.15, 0.22), 'headstock', 'bed'),
    bar(making, 'headstock', 'Z', -1, length(0.2, 0.3), 'headstock', 'bed'),
  ])
  return onBed(frame, 'headstock', [
    { id: 'X', travel: length(0.2, 0.3), carrier: 'bed' },
    { id: 'Z', travel: length(0.45, 0.9), carrier: 'bed' },
  ])
}

const grinderFrame = (making: Making, machine: string): Frame => {
  const length = lengthsOf(making)
  const made = [casting('bed', [700, 1200], [3.5, 5]), casting('wheel-head', [140, 240], [1.25, 2], ['bed', 1.5])].map(
    each => cast(making, machine, each),
  )
  const frame = put(made, [bar(making, 'wheel head', 'X', -1, length(0.16, 0.26), 'wheel-head', 'bed')])
  return onBed(frame, 'wheel-head', [
    { id: 'X', travel: length(0.18, 0.3), carrier: 'bed' },
    { id: 'Z', travel: length(0.4, 0.8), carrier: 'bed' },
  ])
}

/** @param bedSensed a pretensioned screw needs the bed's temperature */
export const makeFrame = (making: Making, kind: FrameKind, machine: string, bedSensed: boolean): Frame =>
  kind === 'mill'
    ? millFrame(making, machine, bedSensed)
    : kind === 'lathe'
      ? latheFrame(making, machine)
      : grinderFrame(making, machine)
