import type { Axis, Machine, Material, NodeWeights, StructureElement } from '../shop.js'
import { barGrowth } from './bar.js'
import { conductionLength, heldPart, riseBeyond } from './bearing.js'
import { columnDeflection } from './column.js'
import { heldScrewGrowth, pretensionExcess, pretensionedScrewGrowth } from './screw.js'

/** One element of an axis' loop. Its growth is proportional to the coefficient of expansion of its material. */
export interface LoopElement {
  /** "X screw", "column" */
  name: string
  kind: 'screw' | 'scale' | 'bed' | 'bar' | 'bending column'
  material: Material
  /** the node with the largest weight in it */
  node: string
  /** growth at a position of the travel against the reference temperature, m, sign included */
  growthAt(position: number, temperatures: ArrayLike<number>): number
  /** m per m of travel at a position; 0 for an element that measures no positions */
  growthPerMetre(position: number, temperatures: ArrayLike<number>): number
}

/** How the nodes' temperatures move one axis of a machine. */
export interface LoopAxis {
  axis: Axis
  /** indices of the machine's nodes this axis depends on */
  nodes: number[]
  /** growth at a position of the travel against the reference temperature, m */
  growthAt(position: number, temperatures: ArrayLike<number>): number
  /** growth of what measures the position, m per m of travel, where the work is held */
  growthPerMetre(temperatures: ArrayLike<number>): number
  /** what that growth is the sum of */
  elements: LoopElement[]
  /** what the fixed bearing does to the screw; null where nothing is known of it */
  bearing: HeldScrew | null
  /** K beyond what the screw's pretension holds; 0 for every other axis */
  pretensionExcess(temperatures: ArrayLike<number>): number
}

/** A screw that its bearing holds at another temperature than its own. */
interface HeldScrew {
  /** growth at the work that the bearing holds back, m */
  heldBack(temperatures: ArrayLike<number>): number
  /** how much more the screw is stretched far from its bearing than where the work is held, m per m */
  unevenness(temperatures: ArrayLike<number>): number
}

/**
 * A machine's thermal loop, ready to be evaluated for any set of node temperatures.
 * Temperatures are given in °C in the order of `machine.nodes`; an unknown one is NaN and makes what depends on it NaN.
 */
export interface ThermalLoop {
  machine: Machine
  /** °C; temperature at which every length holds */
  reference: number
  axes: LoopAxis[]
}

type Weighted = { indices: number[]; weights: number[]; heaviest: string }

const weighted = (machine: Machine, weights: NodeWeights): Weighted => {
  const entries = Object.entries(weights)
  const indices = entries.map(([id]) => {
    const index = machine.nodes.findIndex(node => node.id === id)
    if (index < 0) throw new Error(`machine ${machine.id} has no node "${id}"`)
    return index
  })
  const heaviest = entries.reduce((best, entry) => (entry[1] > best[1] ? entry : best))[0]
  return { indices, weights: entries.map(([, weight]) => weight), heaviest }
}

const mean = (of: Weighted, temperatures: ArrayLike<number>): number => {
  let sum = 0
  for (let i = 0; i < of.indices.length; i++) sum += of.weights[i]! * temperatures[of.indices[i]!]!
  return sum
}

type Described = Pick<LoopElement, 'name' | 'kind' | 'material' | 'node'>
/** with the indices of the nodes it depends on */
type Element = LoopElement & { nodes: number[] }
type MeasuringElement = Element & { bearing?: HeldScrew }

/** An element that grows alike all along. */
const alike = (
  described: Described,
  nodes: number[],
  fixedAt: number,
  growthOf: (distance: number, temperatures: ArrayLike<number>) => number,
): MeasuringElement => ({
  ...described,
  nodes,
  growthAt: (position, t) => growthOf(position - fixedAt, t),
  growthPerMetre: (_, t) => growthOf(1, t),
})

/**
 * s; time constant of a screw, the weighted mean of its nodes': it decides how far the bearing's temperature reaches.
 */
const screwTimeConstant = (machine: Machine, nodes: NodeWeights, axis: Axis): number => {
  const known = Object.entries(nodes).flatMap(([id, weight]) => {
    const { timeConstant } = machine.nodes.find(node => node.id === id)!
    return timeConstant === undefined ? [] : [{ weight, timeConstant }]
  })
  const total = known.reduce((sum, { weight }) => sum + weight, 0)
  if (total === 0)
    throw new Error(
      `machine ${machine.id}: the ${axis.id} screw's bearing cannot count, its nodes have no time constant`,
    )
  return known.reduce((sum, { weight, timeConstant }) => sum + weight * timeConstant, 0) / total
}

const measuringElements = (machine: Machine, axis: Axis, reference: number): MeasuringElement[] => {
  const { measuring } = axis
  const { fixedAt } = measuring
  const own = weighted(machine, measuring.nodes)
  const alpha = measuring.material.alpha
  const rise = (of: Weighted, t: ArrayLike<number>) => mean(of, t) - reference
  const described = (kind: Described['kind'], { heaviest: node }: Weighted, material: Material): Described => ({
    kind,
    name: `${axis.id} ${kind}`,
    node,
    material,
  })
  const part = described(measuring.kind, own, measuring.material)
  const free = [alike(part, own.indices, fixedAt, (distance, t) => barGrowth(distance, alpha, rise(own, t)))]
  if (measuring.kind === 'scale') return free
  const { mounting } = measuring
  if (mounting.kind === 'one end fixed') {
    if (!mounting.bearingOn) return free
    const carrier = weighted(machine, mounting.bearingOn)
    const length = conductionLength(screwTimeConstant(machine, measuring.nodes, axis))
    const work = axis.workAt - fixedAt
    // what is measured of a screw is measured at its nut: it stands for the screw where the work is held
    const beyond = (t: ArrayLike<number>) => riseBeyond(rise(own, t), rise(carrier, t), work, length)
    const growth = (distance: number, t: ArrayLike<number>) =>
      heldScrewGrowth(distance, alpha, beyond(t), rise(carrier, t), length)
    return [
      {
        ...part,
        nodes: [...own.indices, ...carrier.indices],
        growthAt: (position, t) => growth(position - fixedAt, t),
        growthPerMetre: (position, t) => {
          const held = heldPart(position - fixedAt, length)
          return alpha * ((1 - held) * beyond(t) + held * rise(carrier, t))
        },
        bearing: {
          heldBack: t => barGrowth(work, alpha, rise(own, t)) - growth(work, t),
          unevenness: t => alpha * (beyond(t) - rise(own, t)),
        },
      },
    ]
  }
  const bed = weighted(machine, mounting.bed.nodes)
  const bedAlpha = mounting.bed.material.alpha
  const whole = (distance: number, t: ArrayLike<number>) =>
    pretensionedScrewGrowth(distance, alpha, rise(own, t), bedAlpha, rise(bed, t), mounting.stretch)
  const bedOnly = (distance: number, t: ArrayLike<number>) => barGrowth(distance, bedAlpha, rise(bed, t))
  const bedPart = described('bed', bed, mounting.bed.material)
  return [
    alike(bedPart, bed.indices, fixedAt, bedOnly),
    alike(part, [...own.indices, ...bed.indices], fixedAt, (s, t) => whole(s, t) - bedOnly(s, t)),
  ]
}

const structureElement = (machine: Machine, element: StructureElement, reference: number): Element => {
  const { kind, name, material, sign } = element
  const shared = { kind, material, growthPerMetre: () => 0 }
  if (element.kind === 'bar') {
    const own = weighted(machine, element.nodes)
    return {
      ...shared,
      name,
      node: own.heaviest,
      nodes: own.indices,
      growthAt: (_, t) => sign * barGrowth(element.length, material.alpha, mean(own, t) - reference),
    }
  }
  const front = weighted(machine, element.front)
  const rear = weighted(machine, element.rear)
  return {
    ...shared,
    name: `${name} bending`,
    node: rear.heaviest,
    nodes: [...front.indices, ...rear.indices],
    growthAt: (_, t) =>
      sign * columnDeflection(material.alpha, mean(front, t) - mean(rear, t), element.height, element.depth),
  }
}

/** Scale factors of the growth of a loop's elements, by element name; 1 where none is given. */
export type LoopFactors = Readonly<Record<string, number>>

const scaled = <E extends Element>(element: E, factors: LoopFactors): E => {
  const factor = factors[element.name]
  if (factor === undefined) return element
  return {
    ...element,
    growthAt: (position, t) => factor * element.growthAt(position, t),
    growthPerMetre: (position, t) => factor * element.growthPerMetre(position, t),
  }
}

/** K beyond what the pretension of an axis' screw holds, by the nodes' temperatures in °C; 0 where it has none. */
const excessOf = (machine: Machine, { measuring }: Axis, reference: number): LoopAxis['pretensionExcess'] => {
  if (measuring.kind !== 'screw' || measuring.mounting.kind !== 'both ends fixed') return () => 0
  const { bed: on, stretch } = measuring.mounting
  const [own, bed] = [weighted(machine, measuring.nodes), weighted(machine, on.nodes)]
  return t => pretensionExcess(mean(own, t) - reference, mean(bed, t) - reference, stretch)
}

const loopAxis = (machine: Machine, axis: Axis, reference: number, factors: LoopFactors): LoopAxis => {
  const measuring = measuringElements(machine, axis, reference).map(element => scaled(element, factors))
  const structure = machine.structure
    .filter(element => element.axis === axis.id)
    .map(element => scaled(structureElement(machine, element, reference), factors))
  const elements = [...measuring, ...structure]
  return {
    axis,
    nodes: [...new Set(elements.flatMap(element => element.nodes))],
    growthAt: (position, t) => {
      let total = 0
      for (const element of elements) total += element.growthAt(position, t)
      return total
    },
    growthPerMetre: t => measuring.reduce((total, element) => total + element.growthPerMetre(axis.workAt, t), 0),
    elements,
    bearing: measuring.find(element => element.bearing)?.bearing ?? null,
    pretensionExcess: excessOf(machine, axis, reference),
  }
}

/**
 * Composes the thermal loop of a machine from its axes and structure.
 *
 * @param machine as the shop file describes it
 * @param reference temperature at which every length holds, °C (20 by ISO 1)
 * @param factors what the growth of elements is multiplied by, learned from measurements; without them the nominal model
 * @throws Error when an element names a node the machine does not have, or a screw's bearing is to count and none of the
 *   screw's nodes has a configured time constant
 */
export const thermalLoop = (machine: Machine, reference: number, factors: LoopFactors = {}): ThermalLoop => ({
  machine,
  reference,
  axes: machine.axes.map(axis => loopAxis(machine, axis, reference, factors)),
})
