import { z } from 'zod'
import { formerly } from './quantities.js'

// What the computation needs to know of a machine: its nodes, what its axes measure by, its structure, its spindle.

const weights = z.record(z.string(), z.number()).describe('weights over nodes; they sum to 1')
/** weights over nodes; they sum to 1 */
export type NodeWeights = z.infer<typeof weights>

export const material = z.object({
  name: z.string(),
  alpha: z.number().describe('1/K'),
  alphaUncertainty: z.number().describe('relative, standard'),
})
/** What is needed of a material to know how much it grows. */
export type Material = z.infer<typeof material>

const node = z.object({
  id: z.string(),
  name: z.string().describe('as a machinist calls it: "X screw", "column rear", "air at the machine"'),
  kind: z.enum(['body', 'air', 'coolant']).describe('a body follows air or coolant with a time constant'),
  follows: z.string().optional().describe('the node this body approaches; absent for air and coolant'),
  timeConstant: z.number().optional().describe('s; as configured, before it is identified; absent for air and coolant'),
  timeConstantUncertainty: z.number().optional().describe('relative, standard'),
  steadyExcess: z
    .number()
    .optional()
    .describe('K; how far its own heat usually keeps it above what it follows; 0 if not given'),
  placementUncertainty: z
    .number()
    .describe("K, standard: that the sensor's place stands for the node's mean temperature"),
  required: z.boolean().describe('a verdict needs this node'),
  standIn: z
    .object({ node: z.string(), uncertainty: z.number().describe('K') })
    .optional()
    .describe("used when this node's own sensors are missing, with the larger uncertainty"),
})
/** One place on a machine whose temperature is followed. */
export type Node = z.infer<typeof node>

const fixedAt = z.number().describe('m; may lie outside 0..travel. Growth is measured from here')
const measuringElement = { material, nodes: weights, fixedAt }

const mounting = z.discriminatedUnion('kind', [
  z.object({
    kind: z.literal('one end fixed'),
    bearingOn: weights
      .optional()
      .describe("the casting that carries the fixed bearing, and so holds the screw's end at its own temperature"),
  }),
  z.object({
    kind: z.literal('both ends fixed'),
    stretch: z.number().describe('K; the warming that uses the pretension up'),
    bed: z.object({ material, nodes: weights }).describe('what positions follow until then'),
  }),
])
/** How a ball screw is held, which decides what positions follow. */
export type ScrewMounting = z.infer<typeof mounting>

const screw = z.object({
  kind: z.literal('screw'),
  ...measuringElement,
  mounting,
})
/** Rotary encoder on a ball screw: positions follow the screw, from its fixed (thrust) bearing. */
export type Screw = z.infer<typeof screw>

const scale = z.object({ kind: z.literal('scale'), ...measuringElement })
/** Linear scale: positions follow the scale. */
export type Scale = z.infer<typeof scale>

const axis = z.object({
  id: z.string(),
  travel: z.number().describe('m; positions run from 0 to travel'),
  workAt: z.number().describe('m along the axis; where the work is held'),
  readsDiameter: z
    .boolean()
    .optional()
    .describe('it works on a radius while the size that counts is a diameter, as X of a lathe does'),
  measuring: z.discriminatedUnion('kind', [screw, scale]),
})
/** One axis of a machine: how far it travels, where the work is held, and what measures its position. */
export type Axis = z.infer<typeof axis>

const element = {
  id: z.string(),
  name: z.string(),
  axis: z.string(),
  sign: z.union([z.literal(1), z.literal(-1)]).describe('1: growth reads as longer on the axis; -1: as shorter'),
}
const structureElement = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('bar'), ...element, length: z.number().describe('m'), material, nodes: weights }),
  z.object({
    kind: z.literal('bending column').describe('bends by the difference front minus rear'),
    ...element,
    height: z.number().describe('m'),
    depth: z.number().describe('m'),
    material,
    front: weights,
    rear: weights,
  }),
])
/** Further elements of the thermal loop. */
export type StructureElement = z.infer<typeof structureElement>

const workpiece = z.object({
  node: z.string().describe('a node of the machine: its air, its coolant, or a sensor on the part'),
  uncertainty: z.number().describe('K, standard: of taking that node for the part'),
  timeConstant: z.number().describe('s; how slowly a part takes that temperature on'),
})

export const limits = z.object({
  band: z
    .object({ lowest: z.number().describe('°C'), highest: z.number().describe('°C') })
    .optional()
    .describe('what the temperature is to stay within'),
  rate: z.number().optional().describe('K/h; the most it is to change, either way'),
  swing: z.number().optional().describe('K; highest minus lowest within 24 hours'),
  gradient: z.number().optional().describe('K/m; between two sensors whose positions are given'),
  statedBy: z.string().describe('who states them: the machine builder, a standard, the shop'),
  sensors: z
    .array(z.string())
    .optional()
    .describe(
      "ids of the sensors that are held against them; those of the machine's air, or of the area, if not given",
    ),
})
/** What the surroundings of a machine, or an area, are to keep to, as its builder or the shop states it. */
export type EnvironmentLimits = z.infer<typeof limits>

const spindle = z.object({
  axis: z.string().describe('id of the axis that it moves'),
  sign: z.union([z.literal(1), z.literal(-1)]).describe('1: its growth reads as longer on the axis; -1: as shorter'),
  workSpeed: z
    .number()
    .optional()
    .describe('1/s; what jobs are taken to run it at where they do not say; the highest that was tested if not given'),
  highest: z.number().optional().describe("1/s; the builder's limit"),
  warmUp: z
    .object({
      step: z.number().describe('1/s; the most by which speed may rise at once'),
      hold: z.number().describe('s; at least so long at a speed before it rises again'),
    })
    .optional()
    .describe('what the builder allows of a cold spindle'),
  stated: z
    .object({
      growth: z.number().describe('m; steady, at the work speed'),
      growthUncertainty: z.number().describe('relative, standard'),
      timeConstant: z.number().describe('s'),
      timeConstantUncertainty: z.number().describe('relative, standard'),
    })
    .optional()
    .describe('what counts while no growth test is on record; without both, the spindle has no say in verdicts'),
})
/** What is said of a machine's spindle; what its tests say rules. */
export type SpindleSaid = z.infer<typeof spindle>

export const machine = z.object({
  id: z.string(),
  name: z.string(),
  formerly,
  description: z.string().describe('one line under the name: "vertical, steel screws"'),
  kind: z
    .string()
    .optional()
    .describe('mill, lathe …: work is proposed to be taken only to a machine of the same kind'),
  place: z.string().describe("where it stands, in the shop's words"),
  makes: z
    .array(z.string())
    .optional()
    .describe('names of the parts and ids of the work classes that it can make; with * behind it, what begins so'),
  nodes: z.array(node),
  axes: z.array(axis),
  structure: z.array(structureElement),
  spindle: spindle.optional(),
  workpiece,
  exposedTo: z.array(z.string()).describe('ids of the sources that can disturb this machine'),
  limits: limits.optional().describe('of its surroundings'),
})
/** A machine: its nodes, its axes and the structure between tool and workpiece. */
export type Machine = z.infer<typeof machine>
