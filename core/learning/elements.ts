import type { ThermalLoop } from '../growth/index.js'

/** An element of a thermal loop, on all axes that it moves, whose growth can be scaled by a factor. */
export interface ScalableElement {
  name: string
  axes: string[]
  /** how uncertain its factor 1 is before anything was measured: relative standard uncertainty */
  uncertainty: number
}

/**
 * Relative standard uncertainty of what a factor stands for besides the coefficient of expansion: the length that counts,
 * and how well the nodes' temperatures stand for the element's mean. Judgement, no source.
 */
const lengthAndNodes = 0.15

/**
 * The elements of a machine's loop with the uncertainty of their nominal growth: of the coefficient of expansion, and
 * 15 % for length and nodes, combined as roots of squares (GUM 5.1.2).
 *
 * @param loop nominal or scaled; factors do not matter here
 */
export const loopElements = (loop: ThermalLoop): ScalableElement[] => {
  const elements = new Map<string, ScalableElement>()
  for (const axis of loop.axes)
    for (const { name, material } of axis.elements) {
      const known = elements.get(name)
      if (known) known.axes.push(axis.axis.id)
      else
        elements.set(name, {
          name,
          axes: [axis.axis.id],
          uncertainty: Math.hypot(material.alphaUncertainty, lengthAndNodes),
        })
    }
  return [...elements.values()]
}

/**
 * What each element of an axis has grown by from one thermal state to another.
 *
 * @param loop     of the machine
 * @param axis     id
 * @param position along the travel, m
 * @param before   °C by node id; a missing one makes what depends on it NaN
 * @param after    °C by node id
 * @returns m by element name
 * @throws Error when the machine has no such axis
 */
export const effectsBetween = (
  loop: ThermalLoop,
  axis: string,
  position: number,
  before: Readonly<Record<string, number>>,
  after: Readonly<Record<string, number>>,
): Record<string, number> => {
  const found = loop.axes.find(a => a.axis.id === axis)
  if (!found) throw new Error(`machine ${loop.machine.id} has no axis "${axis}"`)
  const listed = (t: Readonly<Record<string, number>>) => loop.machine.nodes.map(node => t[node.id] ?? Number.NaN)
  const [first, last] = [listed(before), listed(after)]
  const effects: Record<string, number> = {}
  for (const { name, growthAt } of found.elements)
    effects[name] = (effects[name] ?? 0) + growthAt(position, last) - growthAt(position, first)
  return effects
}
