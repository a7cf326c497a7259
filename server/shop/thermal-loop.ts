import type { z } from 'zod'
import { nearestNames } from '../../core/nearest.js'
import type { Axis, NodeWeights, Scale, Screw, StructureElement } from '../../core/shop.js'
import { type MachineOutline, materialIn, nodeNames, type Outline } from './outline.js'
import { bounded, choice, difference, length, notNegative, or, percent, positive, reference, text } from './readers.js'
import { inWords, isMap, keysIn, looked, picked, type Reader, section, value } from './section.js'

/** What the schemas of one machine need to know of the rest of the file. */
export interface Place {
  outline: Outline
  machine: MachineOutline
}

export const nodeOf = ({ machine }: Place) => reference(`a node of ${machine.id}`, nodeNames(machine))
export const axisOf = ({ machine }: Place) => reference(`an axis of ${machine.id}`, machine.axes)

const partOfOne = 'write a part of one, for example 0.5, or a percentage'
const weight: Reader<number> = raw =>
  bounded(typeof raw === 'number' ? () => ({ value: raw }) : percent, each => each > 0 && each <= 1, partOfOne)(raw)

/** One node, or several with weights that sum to 1. */
const nodeWeights = (place: Place): z.ZodType<NodeWeights> =>
  looked((raw, say) => {
    const known = nodeOf(place)
    if (!isMap(raw)) {
      const node = known(raw)
      if ('value' in node) return { [node.value]: 1 }
      return say(node.problem, {
        missing: raw === undefined,
        remedy:
          raw === undefined
            ? 'name the node whose temperature counts, or several with weights: { front: 0.5, rear: 0.5 }'
            : node.remedy,
      })
    }
    const weights: NodeWeights = {}
    let readable = true
    for (const [id, written] of Object.entries(raw)) {
      const node = known(id)
      const part = weight(written)
      if ('problem' in node) say(node.problem, { key: true, remedy: node.remedy }, [id])
      if ('problem' in part) say(part.problem, { remedy: partOfOne }, [id])
      if ('value' in part) weights[id] = part.value
      else readable = false
    }
    const sum = Object.values(weights).reduce((total, part) => total + part, 0)
    if (readable && Math.abs(sum - 1) > 1e-6)
      say(`the weights sum to ${Number(sum.toFixed(6))}`, {
        remedy: 'weights say how much each node counts; make them sum to 1',
      })
    return weights
  })

const measured = (place: Place) => ({
  material: value(materialIn(place.outline)),
  nodes: nodeWeights(place),
  'fixed at': value(length),
})

const scale = (place: Place) =>
  section(measured(place), { 'bearing on': 'a scale has no bearing; remove the key' }).transform(
    (own): Scale => ({ kind: 'scale', ...own }),
  )

/**
 * What carries the fixed bearing; may be left out.
 *
 * @param screwNodes as written: a screw that only a coolant cools has no time constant to say how far its bearing reaches
 */
const bearingOn = (place: Place, screwNodes: unknown) =>
  looked<NodeWeights | undefined>((raw, say, take) => {
    if (raw === undefined) return undefined
    const written = isMap(screwNodes) ? Object.keys(screwNodes) : [String(screwNodes)]
    const kinds = written.map(id => place.machine.nodes?.get(id)?.kind)
    if (kinds.every(kind => kind === 'coolant' || kind === 'air'))
      return say("a screw that takes its coolant's temperature is held by it up to the bearing", {
        key: true,
        remedy: 'remove the key, or name a body of its own under nodes',
      })
    return take(nodeWeights(place), raw)
  })

const screw = (place: Place) =>
  picked<Screw>(raw => {
    const mounting = value(choice('one end fixed', 'both ends fixed'))
    if (keysIn(raw).mounting === 'both ends fixed')
      return section(
        {
          ...measured(place),
          mounting,
          stretch: value(notNegative(difference, '3 K, the warming that uses the pretension up')),
          bed: section({ material: value(materialIn(place.outline)), nodes: nodeWeights(place) }),
        },
        { 'bearing on': 'a screw fixed at both ends says by bed what its bearings sit on; remove the key' },
      ).transform(({ mounting: _, stretch, bed, ...own }) => ({
        kind: 'screw' as const,
        ...own,
        mounting: { kind: 'both ends fixed' as const, stretch, bed },
      }))
    const pretensioned = 'only a screw with mounting: both ends fixed has it; correct the mounting or remove the key'
    return section(
      { ...measured(place), mounting, 'bearing on': bearingOn(place, keysIn(raw).nodes) },
      { stretch: pretensioned, bed: pretensioned },
    ).transform(({ mounting: _, bearingOn, ...own }) => ({
      kind: 'screw' as const,
      ...own,
      mounting: { kind: 'one end fixed' as const, ...(bearingOn && { bearingOn }) },
    }))
  })

/** what an axis, or work of a class, tells of a size that is a diameter */
export const reads = value(or(choice('position', 'diameter'), 'position')).transform(what =>
  what === 'diameter' ? { readsDiameter: true } : {},
)

/** An axis measures by its screw or by a scale: the file has the one key or the other. */
export const axis = (id: string, place: Place) =>
  picked<Axis>(raw => {
    const written = keysIn(raw)
    const travel = length(written.travel)
    const inTravel: Reader<number> = at =>
      'value' in travel
        ? bounded(
            length,
            each => each >= 0 && each <= travel.value,
            `write a place on the travel, between 0 and ${written.travel}`,
          )(at)
        : length(at)
    const own = { travel: value(positive(length, '20 in or 508 mm')), 'work at': value(inTravel), reads }
    const either = 'an axis measures by a screw or by a scale; keep the one that applies'
    const keys = Object.keys(written)
    const has = (key: 'screw' | 'scale') =>
      keys.includes(key) || keys.some(each => nearestNames(each, ['screw', 'scale'], 1)[0] === key)
    if (has('scale'))
      return section({ ...own, scale: scale(place) }, { screw: either }).transform(
        ({ reads, scale: measuring, ...own }) => ({ id, ...own, ...reads, measuring }),
      )
    return section({ ...own, screw: has('screw') ? screw(place) : neither }).transform(
      ({ reads, screw: measuring, ...own }) => ({ id, ...own, ...reads, measuring }),
    )
  })

const neither = looked<Screw>((_raw, say) =>
  say('neither a screw nor a scale is given', {
    remedy: 'write screw: { material, fixed at, mounting, nodes } or scale: { material, fixed at, nodes }',
  }),
)

const sign: Reader<1 | -1> = raw => {
  if (raw === '+' || raw === 1 || raw === '+1') return { value: 1 }
  if (raw === '-' || raw === '−' || raw === -1 || raw === '-1') return { value: -1 }
  return {
    problem: `${inWords(raw)} is not a sign`,
    remedy: "write '+' when growth of this part reads as longer on the axis, '-' when as shorter, in quotes",
  }
}

/** for the id of an element: unique within a machine because its axis and its name together are */
export const elementId = (axisId: string, name: string) =>
  `${axisId}-${name.replace(/[^\p{L}\p{N}]+/gu, '-')}`.toLowerCase()

/** A part of the thermal loop: a bar that grows, or a column that bends. */
export const structureElement = (place: Place) =>
  picked<StructureElement>(raw => {
    const shared = { axis: value(axisOf(place)), sign: value(sign), material: value(materialIn(place.outline)) }
    if (keysIn(raw)['bending column'] !== undefined) {
      const straight = 'this belongs to a bar; a bending column has height, depth, front and rear'
      return section(
        {
          'bending column': value(text('column')),
          ...shared,
          height: value(positive(length, '700 mm')),
          depth: value(positive(length, '350 mm')),
          front: nodeWeights(place),
          rear: nodeWeights(place),
        },
        { bar: 'an element is a bar or a bending column; write it as two elements', length: straight, nodes: straight },
      ).transform(({ bendingColumn: name, ...own }) => ({
        kind: 'bending column' as const,
        id: elementId(own.axis, name),
        name,
        ...own,
      }))
    }
    const bent = 'this belongs to a bending column; a bar has length and nodes'
    return section(
      { bar: value(text('column')), ...shared, length: value(positive(length, '600 mm')), nodes: nodeWeights(place) },
      { height: bent, depth: bent, front: bent, rear: bent },
    ).transform(({ bar: name, ...own }) => ({ kind: 'bar' as const, id: elementId(own.axis, name), name, ...own }))
  })
