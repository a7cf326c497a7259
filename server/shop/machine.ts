import type { z } from 'zod'
import type { Machine, Node } from '../../core/shop.js'
import { formerly } from './formerly.js'
import { limits } from './limits.js'
import { followedNames, type MachineOutline, type Outline } from './outline.js'
import {
  bounded,
  choice,
  difference,
  duration,
  flag,
  notNegative,
  or,
  reference,
  text,
  uncertainDuration,
} from './readers.js'
import { atLeastOne, keysIn, list, named, picked, section, unlessEmpty, value } from './section.js'
import { spindle } from './spindle.js'
import { axis, nodeOf, type Place, structureElement } from './thermal-loop.js'

/** names used in topics, addresses and `at: machine/node` */
export const plainName = /^[A-Za-z0-9][A-Za-z0-9_-]{0,63}$/
export const plainSpelling = 'use letters, digits, - and _ only, beginning with a letter or digit, for example mill-1'

/** K; standard uncertainty that a sensor's place stands for its node, when nothing is written */
const usualPlacement = 0.2
/** relative standard uncertainty of a time constant, when nothing is written */
const usualTimeConstantUncertainty = 0.3
/** s; how slowly a part takes on the temperature about it, when nothing is written: our judgement, between a thin part
 * in flood coolant (minutes) and a block the size of a hand in still air (over an hour) */
const usualPartTimeConstant = 1800

export const spoken = (id: string) => id.replace(/[-_]+/g, ' ')

const standIn = (id: string, place: Place) =>
  section({
    node: value(raw => {
      const node = nodeOf(place)(raw)
      if ('problem' in node || node.value !== id) return node
      return { problem: `"${id}" cannot stand in for itself`, remedy: 'name another node of the machine' }
    }),
    uncertainty: value(notNegative(difference, '0.8 K')),
  })

const node = (id: string, place: Place) =>
  picked<Node>(raw => {
    const shared = {
      name: value(or(text('X screw nut'), spoken(id))),
      kind: value(or(choice('body', 'air', 'coolant'), 'body')),
      placement: value(or(notNegative(difference, '0.2 K'), usualPlacement)),
      required: value(or(flag, true)),
      'stand-in': standIn(id, place).optional(),
    }
    const { kind = 'body' } = keysIn(raw)
    if (kind === 'air' || kind === 'coolant') {
      const bodyOnly = `only a body follows something with a time constant, ${kind} does not; remove the key or write kind: body`
      return section(shared, { follows: bodyOnly, 'time constant': bodyOnly, 'steady excess': bodyOnly }).transform(
        ({ placement, ...own }) => ({ id, ...own, placementUncertainty: placement }),
      )
    }
    return section({
      ...shared,
      follows: value(reference(`an air or coolant node of ${place.machine.id}`, followedNames(place.machine))),
      'time constant': value(
        bounded(uncertainDuration, each => each.value > 0, 'write a duration above zero, for example 45 min ± 30 %'),
      ),
      'steady excess': value(or(difference, undefined)),
    }).transform(({ placement, timeConstant, ...own }) => ({
      id,
      ...own,
      timeConstant: timeConstant.value,
      timeConstantUncertainty: timeConstant.relativeUncertainty ?? usualTimeConstantUncertainty,
      placementUncertainty: placement,
    }))
  })

const sourcesOf = (outline: Outline) => {
  const source = value(reference('a source', outline.sources))
  const several = list(source, 'write a list of sources, for example [dock-door, supply-vent]')
  return picked<string[]>(raw => (typeof raw === 'string' ? source.transform(one => [one]) : several))
}

/** @param id its key in the file */
export const machine = (id: string, outline: Outline): z.ZodType<Machine> => {
  const own: MachineOutline = outline.machines?.get(id) ?? { id, nodes: null, axes: null, structure: [] }
  const place: Place = { outline, machine: own }
  return section({
    name: value(or(text('Mill 1'), spoken(id))),
    formerly,
    description: value(or(text('vertical, steel screws'), '')),
    kind: value(or(text('mill'), undefined)),
    place: value(or(text('main hall, middle'), '')),
    makes: unlessEmpty(
      list(value(text('Pump housing')), 'write a list of parts or work classes, for example [Pump housing, bores]'),
    ),
    'exposed to': sourcesOf(outline),
    nodes: atLeastOne(
      named('a node', plainName, plainSpelling, nodeId => node(nodeId, place)),
      'node',
    ),
    axes: atLeastOne(
      named('an axis', /^[A-Z][A-Za-z0-9]{0,7}$/, 'use a capital letter as the drawing does, for example X', axisId =>
        axis(axisId, place),
      ),
      'axis',
    ),
    limits: limits(outline).optional(),
    structure: list(structureElement(place), 'write a list of elements, each beginning with "- "'),
    spindle: spindle(place).optional(),
    workpiece: section({
      node: value(nodeOf(place)),
      uncertainty: value(notNegative(difference, '0.3 K')),
      'time constant': value(or(notNegative(duration, '1 h'), usualPartTimeConstant)),
    }),
  }).transform(each => ({ id, ...each }))
}
