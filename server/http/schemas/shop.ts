import { z } from 'zod'
import type {
  Axis,
  Machine,
  Material,
  Node,
  PayloadForm,
  Sensor,
  Shop,
  Source,
  StructureElement,
  WorkClass,
} from '../../../core/shop.js'

// The shop as the interface gives it: core's types, kept to by `satisfies`. SI units.

const weights = z.record(z.string(), z.number()).describe('weights over nodes; they sum to 1')
const place = z.number().describe('m along the axis')
const sign = z.union([z.literal(1), z.literal(-1)])

const material = z.object({
  name: z.string(),
  alpha: z.number().describe('1/K'),
  alphaUncertainty: z.number().describe('relative, standard'),
}) satisfies z.ZodType<Material>

const node = z.object({
  id: z.string(),
  name: z.string(),
  kind: z.enum(['body', 'air', 'coolant']),
  follows: z.string().optional(),
  timeConstant: z.number().optional().describe('s'),
  timeConstantUncertainty: z.number().optional().describe('relative, standard'),
  steadyExcess: z.number().optional().describe('K'),
  placementUncertainty: z.number().describe('K, standard'),
  required: z.boolean(),
  standIn: z.object({ node: z.string(), uncertainty: z.number().describe('K') }).optional(),
}) satisfies z.ZodType<Node>

const measuring = { material, nodes: weights, fixedAt: place }

const axis = z.object({
  id: z.string(),
  travel: z.number().describe('m'),
  workAt: place,
  measuring: z.discriminatedUnion('kind', [
    z.object({
      kind: z.literal('screw'),
      ...measuring,
      mounting: z.discriminatedUnion('kind', [
        z.object({ kind: z.literal('one end fixed'), bearingOn: weights.optional() }),
        z.object({
          kind: z.literal('both ends fixed'),
          stretch: z.number().describe('K'),
          bed: z.object({ material, nodes: weights }),
        }),
      ]),
    }),
    z.object({ kind: z.literal('scale'), ...measuring }),
  ]),
}) satisfies z.ZodType<Axis>

const element = { id: z.string(), name: z.string(), axis: z.string(), sign, material }

const structureElement = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('bar'), ...element, length: z.number().describe('m'), nodes: weights }),
  z.object({
    kind: z.literal('bending column'),
    ...element,
    height: z.number().describe('m'),
    depth: z.number().describe('m'),
    front: weights,
    rear: weights,
  }),
]) satisfies z.ZodType<StructureElement>

const machine = z.object({
  id: z.string(),
  name: z.string(),
  description: z.string(),
  place: z.string(),
  nodes: z.array(node),
  axes: z.array(axis),
  structure: z.array(structureElement),
  workpiece: z.object({
    node: z.string(),
    uncertainty: z.number().describe('K, standard'),
    timeConstant: z.number().describe('s'),
  }),
  exposedTo: z.array(z.string()),
}) satisfies z.ZodType<Machine>

const at = z.string().describe('a path, or the name of a Sparkplug metric')
const battery = z
  .object({ at, unit: z.enum(['%', 'V']), low: z.number().optional().describe('in that unit; at or below it is low') })
  .optional()
const signal = z.object({ at, unit: z.enum(['dBm', '%']) }).optional()

const payload = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('number') }),
  z.object({
    kind: z.literal('json'),
    value: z.string(),
    time: z.string().optional(),
    readings: z.string().optional().describe('where a list of readings is'),
    name: z.string().optional(),
    unit: z.string().optional(),
    timeZone: z.string().optional().describe('of times without a zone'),
    battery,
    signal,
  }),
]) satisfies z.ZodType<PayloadForm>

const sensor = z.object({
  id: z.string(),
  name: z.string(),
  topic: z.string().optional(),
  nameOnBroker: z.string().optional(),
  sparkplug: z
    .object({ group: z.string(), node: z.string(), device: z.string().optional(), metric: z.string(), battery, signal })
    .optional(),
  payload,
  unit: z.enum(['°C', '°F', 'K', 'state']),
  scale: z.number().optional(),
  interval: z.number().describe('s'),
  uncertainty: z.number().describe('K, standard'),
  calibration: z
    .object({
      date: z.string().describe('ISO 8601 day').optional(),
      due: z.string().describe('ISO 8601 day; the last one').optional(),
      uncertainty: z.number().describe('K, standard; already in that of the sensor').optional(),
      certificate: z.string().optional(),
    })
    .optional(),
  resolution: z.number().describe('K').optional(),
  batch: z.object({ name: z.string(), uncertainty: z.number().describe('K, standard') }).optional(),
  offset: z.number().describe('K'),
  at: z.discriminatedUnion('kind', [
    z.object({ kind: z.literal('node'), machine: z.string(), node: z.string() }),
    z.object({ kind: z.literal('source'), source: z.string() }),
    z.object({ kind: z.literal('shop air') }),
    z.object({ kind: z.literal('outdoors') }),
  ]),
}) satisfies z.ZodType<Sensor>

const source = z.object({
  id: z.string(),
  name: z.string(),
  kind: z.enum(['door', 'vent', 'heat source']),
}) satisfies z.ZodType<Source>

const workClass = z.object({
  id: z.string(),
  name: z.string(),
  tolerance: z.number().describe('m; full width'),
  featureLength: z.number().describe('m'),
  material,
  duration: z.number().describe('s'),
  share: z.number().describe('part of the tolerance that heat may take'),
  zeroedAt: z.enum(['job start', 'datum']),
}) satisfies z.ZodType<WorkClass>

export const shopSchema = z
  .object({
    name: z.string(),
    timeZone: z.string(),
    referenceTemperature: z.number().describe('°C'),
    invented: z.boolean().describe('true when the shop and its readings are made up'),
    machines: z.array(machine),
    sensors: z.array(sensor),
    lowBattery: z.number().optional().describe('%; at or below it a battery is low; 20 if not given'),
    sources: z.array(source),
    workClasses: z.array(workClass),
    topics: z.array(z.object({ pattern: z.string(), sensor: z.string(), payload })).optional(),
    sparkplug: z.object({ requestRebirth: z.boolean() }).optional(),
  })
  .meta({ id: 'Shop' }) satisfies z.ZodType<Shop>
