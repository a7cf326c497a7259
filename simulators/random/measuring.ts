import { ballScrew, bearingBlock, linearScale } from '../making.js'
import type { AxisPlant, BodyPlant, Measured } from '../plant.js'
import type { Random } from '../random.js'
import { around, aroundFactor, chance, oneOf, rounded } from './draws.js'
import { type Materials, trueAlpha } from './materials.js'
import {
  type AxisText,
  kelvinText,
  type Lengths,
  lengthText,
  type NodeText,
  type PartText,
  timeConstantText,
} from './shop-text.js'

/** How the axes of a machine know where they are. */
export type Measuring = 'one end fixed' | 'pretensioned' | 'core-cooled' | 'glass scale' | 'steel scale'

/** What holds for a whole machine while its axes are made. */
export interface Making {
  random: Random
  materials: Materials
  lengths: Lengths
  /** relative standard uncertainty of every stated time constant */
  timeConstantUncertainty: number
  /** K; how far off a sensor's place is to begin with, as a standard deviation */
  placement: number
  /** K; how much friction at the usual pace warms a screw */
  frictionRise: number
  /** 0..1; usual pace of the axes */
  motion: number
}

/** A node with a sensor on it: what the file says and what the sensor touches. */
export interface SensedNode {
  id: string
  text: NodeText
  measures: Measured
  /** K; standard deviation of its constant error; the stated uncertainty also holds what varies */
  placement: number
}

interface MadeAxis {
  plant: AxisPlant
  text: AxisText
  bodies: BodyPlant[]
  /** none for a core-cooled screw: its coolant is the node */
  node: SensedNode | null
}

/** of the warming by friction, how much one sensor does not show */
const UNSEEN = 0.1

/** Stated uncertainty of a place: its constant error, and what friction makes uneven. */
const statedPlacement = (constant: number, frictionRise: number): string =>
  kelvinText(Math.round(20 * Math.hypot(constant, UNSEEN * frictionRise)) / 20)

/** W/m²/K through the walls of a cooled screw's bore */
const BORE_FILM = 800
/** J/m³/K */
const STEEL_HEAT = 3.69e6

/**
 * One axis, as stated and as it is. The true time constant and expansion lie around the stated ones as the stated
 * uncertainties say; the screw's friction, its bearing and the part of it that the sensor feels are as they come.
 *
 * @param machine id; @param carrier the body that carries the bearing or scale; @param bed the body beneath both ends
 */
export const makeAxis = (
  making: Making,
  how: Measuring,
  where: { machine: string; id: string; travel: number; carrier: string; bed: { body: string; node: string } },
): MadeAxis => {
  const { random, materials, lengths, timeConstantUncertainty, placement } = making
  const { id, travel, machine, carrier } = where
  const step = lengths === 'in' ? 0.0254 / 2 : 0.01
  const workAt = Math.round((travel * random.between(0.4, 0.6)) / step) * step
  const place = { travel: lengthText(travel, lengths), 'work at': lengthText(workAt, lengths) }
  const sensed = { from: random.between(0, 0.1) * travel, to: random.between(0.55, 0.7) * travel }
  const isScale = how === 'glass scale' || how === 'steel scale'
  const stated = isScale ? rounded(random, 20, 30, 5) * 60 : rounded(random, 30, 55, 5) * 60
  const real = aroundFactor(random, stated, timeConstantUncertainty) / 60
  const nodeId = `${id.toLowerCase()}-${isScale ? 'scale' : 'screw'}`
  const node: SensedNode = {
    id: nodeId,
    text: {
      name: `${id} ${isScale ? 'scale' : 'screw'}`,
      follows: 'air',
      'time constant': timeConstantText(stated, timeConstantUncertainty),
      placement: statedPlacement(placement, isScale ? 0 : making.frictionRise),
    },
    measures: { kind: 'measuring part', machine, axis: id, ...sensed },
    placement,
  }
  if (isScale) {
    const material = how === 'glass scale' ? materials.glass : materials.scaleSteel
    const fixedAt = chance(random, 0.4) ? travel / 2 : 0
    const measuring = linearScale({
      alpha: trueAlpha(random, material),
      fixedAt,
      from: -0.02,
      to: travel + 0.02,
      minutes: real,
      on: carrier,
    })
    return {
      plant: { id, travel, workAt, measuring },
      text: { ...place, scale: { material: material.name, 'fixed at': lengthText(fixedAt, lengths), nodes: nodeId } },
      bodies: [],
      node,
    }
  }

  const diameter = oneOf(random, travel > 0.45 ? [0.032, 0.036, 0.04] : [0.025, 0.032])
  const fixedAt = lengths === 'in' ? -0.0762 : -oneOf(random, [0.06, 0.08, 0.1])
  const farEnd = travel + random.between(0.06, 0.1)
  const film = (STEEL_HEAT * diameter) / (4 * real * 60)
  const toAir = film * Math.PI * diameter * (farEnd - fixedAt)
  const bearing = `${id.toLowerCase()}-bearing`
  const cooled = how === 'core-cooled'
  const pretensioned = how === 'pretensioned'
  const stretch = oneOf(random, [2, 3, 4])
  const plant: AxisPlant = {
    id,
    travel,
    workAt,
    measuring: ballScrew({
      alpha: trueAlpha(random, materials.screw),
      fixedAt,
      farEnd,
      diameter,
      minutes: real,
      nutHeat: ((cooled ? 3 : 1) * toAir * making.frictionRise) / Math.max(making.motion, 0.05),
      bearing,
      ...(cooled && { core: { film: BORE_FILM } }),
      ...(pretensioned && {
        mounting: {
          kind: 'both ends fixed',
          stretch: around(random, stretch, 0.06),
          bed: where.bed.body,
          bedAlpha: trueAlpha(random, materials.iron),
        },
      }),
    }),
  }
  const part: PartText = {
    material: materials.screw.name,
    'fixed at': lengthText(fixedAt, lengths),
    mounting: pretensioned ? 'both ends fixed' : 'one end fixed',
    ...(pretensioned && {
      stretch: kelvinText(stretch),
      bed: { material: materials.iron.name, nodes: where.bed.node },
    }),
    // a casting's node is called like its body
    ...(!pretensioned && !cooled && { 'bearing on': carrier }),
    nodes: cooled ? 'coolant' : nodeId,
  }
  return {
    plant,
    text: { ...place, screw: part },
    bodies: [bearingBlock(bearing, carrier, random.between(5, 10))],
    node: cooled ? null : node,
  }
}
