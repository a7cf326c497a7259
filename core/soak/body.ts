import type { Thermal } from '../materials.js'
import { ballModes, cylinderModes, meanLeft, slabModes } from './modes.js'

/** What is known of a part's shape; all in m, kg. */
export type Shape =
  /** lies on length × width */
  | { kind: 'block'; length: number; width: number; height: number }
  /** stands on its end */
  | { kind: 'cylinder'; diameter: number; length: number }
  | { kind: 'ball'; diameter: number }
  /** much wider than it is thick, so that its edges do not count */
  | { kind: 'plate'; thickness: number }
  /** nothing but its mass is known */
  | { kind: 'mass'; mass: number }

/** Coefficients of heat transfer, W/m²/K: on the faces that stand free, and on the one that a part lies on. */
interface FilmValues {
  free: number
  contact: number
}

/**
 * Surface of a part of which only the mass is known, in surfaces of a ball of its volume. A ball (1) soaks slowest; a
 * cube has 1.24, a bar of 1:1:4 1.5, a rectangular gauge block of 100 mm 1.9. Common practice, no source.
 */
export const surfaceOfBalls = { low: 1, likely: 1.4, high: 2 }

/** thicknesses; so wide counts a plate of which nothing else is known, for the face it lies on. Judgement, no source */
const plateWidth = 10

/** below this Biot number a body counts as equally warm all through (Incropera & DeWitt, 5.2) */
export const lumpedBelow = 0.1

/** m²; the face that a part lies on, null where it touches a plate in a point or nobody knows */
export const footprintOf = (shape: Shape): number | null => {
  if (shape.kind === 'block') return shape.length * shape.width
  if (shape.kind === 'cylinder') return (Math.PI / 4) * shape.diameter ** 2
  if (shape.kind === 'plate') return (plateWidth * shape.thickness) ** 2
  return null
}

/** One direction in which heat leaves: a body of several is the product of them. */
interface Direction {
  kind: 'slab' | 'cylinder' | 'ball'
  /** m; thickness of a slab, radius otherwise */
  size: number
  /** W/m²/K; on the near face of a slab, 0 otherwise */
  near: number
  /** W/m²/K; on the far face of a slab, or all round */
  far: number
}

const directionsOf = (shape: Shape, { density }: Thermal, { free, contact }: FilmValues, surface: number) => {
  const slab = (size: number, near = free): Direction => ({ kind: 'slab', size, near, far: free })
  const round = (kind: 'cylinder' | 'ball', diameter: number): Direction[] => [
    { kind, size: diameter / 2, near: 0, far: free },
  ]
  switch (shape.kind) {
    case 'block':
      return [slab(shape.height, contact), slab(shape.length), slab(shape.width)]
    case 'cylinder':
      return [slab(shape.length, contact), ...round('cylinder', shape.diameter)]
    case 'ball':
      return round('ball', shape.diameter)
    case 'plate':
      return [slab(shape.thickness, contact)]
    case 'mass':
      // a ball has a sixth of its diameter of volume for each area: with more surface it is like a smaller one
      return round('ball', Math.cbrt((6 * shape.mass) / density / Math.PI) / surface)
  }
}

/** Biot number of a direction, by its film and the longest way that heat has to go to it (Incropera & DeWitt, 5.2, the careful choice). */
const biotOf = ({ kind, size, near, far }: Direction, conductivity: number): number =>
  // a slab gives its heat off to both faces; the face with the better film draws it from further away
  ((kind === 'slab' ? (size * Math.max(near, far) ** 2) / (near + far) : size * far) || 0) / conductivity

/** W/m³/K; how much a direction gives off, for each kelvin */
const givenOff = ({ kind, size, near, far }: Direction): number =>
  kind === 'slab' ? (near + far) / size : ((kind === 'cylinder' ? 2 : 3) * far) / size

/** How a part approaches surroundings that jumped. */
export interface Response {
  model: 'lumped' | 'conduction'
  /** the largest of its directions */
  biot: number
  /** mean difference still to come, as a part of the jump. @param elapsed s */
  left: (elapsed: number) => number
}

/**
 * Step response of a part: lumped where its Biot number allows, else one-dimensional conduction in each direction, whose
 * product is the body's (Incropera & DeWitt, 5.8).
 *
 * @param shape of the part, m and kg
 * @param surface only for a part of which the mass is known: its surface, in those of a ball
 */
export const responseOf = (shape: Shape, thermal: Thermal, films: FilmValues, surface = 1): Response => {
  const { density, specificHeat, conductivity } = thermal
  const directions = directionsOf(shape, thermal, films, surface)
  const biot = Math.max(...directions.map(each => biotOf(each, conductivity)))
  if (biot < lumpedBelow) {
    const rate = directions.reduce((sum, each) => sum + givenOff(each), 0) / (density * specificHeat)
    return { model: 'lumped', biot, left: elapsed => Math.exp(-rate * elapsed) }
  }
  const diffusivity = conductivity / (density * specificHeat)
  const each = directions.map(({ kind, size, near, far }) => {
    const [nearBiot, farBiot] = [(near * size) / conductivity, (far * size) / conductivity]
    const modes =
      kind === 'slab' ? slabModes(nearBiot, farBiot) : kind === 'cylinder' ? cylinderModes(farBiot) : ballModes(farBiot)
    return { modes, perSecond: diffusivity / size ** 2 }
  })
  return {
    model: 'conduction',
    biot,
    left: elapsed =>
      elapsed <= 0 ? 1 : each.reduce((left, { modes, perSecond }) => left * meanLeft(modes, perSecond * elapsed), 1),
  }
}
