import { z } from 'zod'

// The shop as the computation sees it and the interface gives it: machines, their nodes and thermal loops, sensors,
// sources, work classes. The shop file's schema (server/shop) produces exactly this.
// SI throughout: m, s, °C for a temperature, K for a difference, 1/K for expansion, s for durations.

const weights = z.record(z.string(), z.number()).describe('weights over nodes; they sum to 1')
/** weights over nodes; they sum to 1 */
export type NodeWeights = z.infer<typeof weights>

const material = z.object({
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
  material,
}
const structureElement = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('bar'), ...element, length: z.number().describe('m'), nodes: weights }),
  z.object({
    kind: z.literal('bending column').describe('bends by the difference front minus rear'),
    ...element,
    height: z.number().describe('m'),
    depth: z.number().describe('m'),
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

const formerly = z.array(z.string()).optional().describe('ids it had before: what is stored under them is its history')

const limits = z.object({
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

const minuteOfDay = z.number().describe('min after midnight, by the shop’s clock; 1440 is the end of the day')
const shift = z.object({
  days: z.array(z.number()).describe('on which it begins: 1 Monday … 7 Sunday'),
  from: minuteOfDay,
  to: minuteOfDay.describe('min after midnight; not later than `from`: on the next day'),
})
/** When people work. */
export type Shift = z.infer<typeof shift>

const area = z.object({
  id: z.string(),
  name: z.string(),
  sensors: z.array(z.string()).describe('ids'),
  limits: limits.optional(),
})
/** A part of the shop, by its sensors: a room, the shop air, what lies beside a door. */
export type Area = z.infer<typeof area>

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

const machine = z.object({
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

const at = z.string().describe('a path like the others, or the name of a Sparkplug metric')
const battery = z.object({
  at,
  unit: z.enum(['%', 'V']),
  low: z.number().optional().describe("in that unit; at or below it is low. The shop's for % if not given, none for V"),
})
/** Where a device tells what is left in its battery. */
export type BatteryForm = z.infer<typeof battery>
const signal = z.object({ at, unit: z.enum(['dBm', '%']) })
/** Where a device tells how well it is received. */
export type SignalForm = z.infer<typeof signal>
const condition = { battery: battery.optional(), signal: signal.optional() }

const payload = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('number') }),
  z.object({
    kind: z.literal('json').describe('dotted paths into a JSON message; "." is the whole'),
    value: z.string(),
    time: z.string().optional().describe('without it, the moment of arrival counts'),
    readings: z.string().optional().describe('where a list of readings is; the other paths then begin at each item'),
    name: z.string().optional().describe('where the message, or the item, names its sensor'),
    unit: z.string().optional().describe("where it says its unit; the sensor's where it says none"),
    timeZone: z.string().optional().describe('IANA name, for times without a zone; they are refused if not given'),
    ...condition,
  }),
])
/** How a message is read. */
export type PayloadForm = z.infer<typeof payload>

const sparkplugMetric = z.object({
  group: z.string(),
  node: z.string(),
  device: z.string().optional(),
  metric: z.string(),
  ...condition,
})
/** A metric of an Eclipse Sparkplug B edge node, or of a device behind it. */
export type SparkplugMetric = z.infer<typeof sparkplugMetric>

const calibration = z.object({
  date: z.string().optional().describe("ISO 8601 day in the shop's time zone"),
  due: z.string().optional().describe('ISO 8601 day; by its end it must have been calibrated again'),
  uncertainty: z.number().optional().describe('K, standard; already in that of the sensor'),
  certificate: z.string().optional().describe('number or name of the certificate'),
})
/** What is known of a sensor's last calibration. */
export type Calibration = z.infer<typeof calibration>

const place = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('node'), machine: z.string(), node: z.string() }),
  // beside a door, vent or heat source; a `state` sensor here tells whether it is open or running
  z.object({ kind: z.literal('source'), source: z.string() }),
  // tells what its spindle turns at, or a probe's reading of its growth
  z.object({ kind: z.literal('spindle'), machine: z.string() }),
  z.object({ kind: z.literal('shop air') }),
  z.object({ kind: z.literal('outdoors') }),
])
/** Where a sensor is. */
export type SensorPlace = z.infer<typeof place>

const sensor = z.object({
  id: z.string(),
  name: z.string(),
  formerly,
  topic: z.string().optional().describe("in full; not given when it is found by the shop's `topics` or by `sparkplug`"),
  nameOnBroker: z
    .string()
    .optional()
    .describe('what messages call it where they name their sensor; its id if not given'),
  sparkplug: sparkplugMetric.optional(),
  payload: payload.describe('of the messages on its own topic'),
  unit: z
    .enum(['°C', '°F', 'K', 'state', '1/min', 'µm', 'mm', 'in'])
    .describe('of the number on the wire; `state`: open or closed, on or off; a speed or a length only at a spindle'),
  scale: z.number().optional().describe('the number on the wire times this is in `unit`; 1 if not given'),
  interval: z.number().describe('s; how often it is expected to report'),
  uncertainty: z.number().describe("K, standard: of its calibration, the certificate's where there is one"),
  calibration: calibration.optional(),
  resolution: z.number().optional().describe('K; the step its readings move in, where they may not show it'),
  batch: z
    .object({ name: z.string(), uncertainty: z.number().describe('K, standard') })
    .optional()
    .describe('sensors of one batch share an offset nobody knows'),
  offset: z
    .number()
    .describe("K; added to every reading: the file's, or the one accepted last after a common-temperature check"),
  at: place,
  position: z
    .object({ x: z.number(), y: z.number(), z: z.number() })
    .optional()
    .describe('m; where it is in the shop, from a corner that all positions are counted from'),
})
/** A sensor of temperature, of whether a door, vent or heat source is open or running, or of a spindle. */
export type Sensor = z.infer<typeof sensor>

/** Whether a sensor tells a temperature; others tell a state (1 or 0), a speed (1/s) or a length (m). */
export const isThermometer = ({ unit }: Pick<Sensor, 'unit'>): boolean => unit === '°C' || unit === '°F' || unit === 'K'

const source = z.object({ id: z.string(), name: z.string(), kind: z.enum(['door', 'vent', 'heat source']) })
/** What disturbs the shop: a door, a vent, a heat source. */
export type Source = z.infer<typeof source>

const workClass = z.object({
  id: z.string(),
  name: z.string(),
  formerly,
  tolerance: z.number().describe('m; full width of the tolerance zone'),
  featureLength: z.number().describe('m; length of the feature along the axis'),
  material,
  duration: z.number().describe('s'),
  share: z.number().describe('0..0.5; part of the tolerance that heat may take'),
  zeroedAt: z
    .enum(['job start', 'datum'])
    .describe("zero is set at each job's start, or at the machine's datum: without one recorded nothing can be said"),
  ownHeat: z
    .enum(['when it shows', 'light', 'ordinary', 'heavy'])
    .optional()
    .describe(
      'how much a job heats the machine, against its usual work; left out: as usual, once work of the machine has been seen',
    ),
  spindleSpeed: z.number().optional().describe('1/s; what its jobs run the spindle at, at most'),
  readsDiameter: z
    .boolean()
    .optional()
    .describe('its size is a diameter that every axis makes by a radius: a boring or facing head, a turned part'),
})
/** A kind of work: what is asked of it, and how long it takes. */
export type WorkClass = z.infer<typeof workClass>

const topicMapping = z.object({
  pattern: z.string().describe('a topic with named parts, at most one a level: plant/{sensor}/temperature'),
  sensor: z.string().describe("how its name is made of the pattern's parts and of {name}, the name in the message"),
  payload,
})
/** One entry of the shop file for the topics of many sensors. */
export type TopicMapping = z.infer<typeof topicMapping>

const decisionRule = z.object({
  coverage: z
    .number()
    .describe('standard uncertainties that must fit between the error and the share for `fit` to stand'),
  probability: z.number().optional().describe('0..1; one-sided, as the file gives it; left out: it gives the coverage'),
})
/** How far inside the share an error must lie to be accepted. */
export type DecisionRule = z.infer<typeof decisionRule>

export const shopSchema = z
  .object({
    name: z.string(),
    timeZone: z.string().describe('IANA name, e.g. "Europe/Vienna"; all times on the pages are given in it'),
    units: z
      .enum(['metric', 'inch', 'tenths'])
      .optional()
      .describe(
        'of sentences and tables, and of pages until somebody chooses others; tenths: inches, with small lengths in ten-thousandths; metric if not given',
      ),
    clock: z.enum(['24 h', '12 h']).optional().describe('by which times are written; 24 h if not given'),
    referenceTemperature: z.number().describe('°C, 20 by ISO 1'),
    decisionRule: decisionRule.optional().describe('one-sided 95 % if not given'),
    shifts: z.array(shift).optional().describe('Monday to Friday from 06:00 to 18:00 if not given'),
    invented: z.boolean().describe('true when the shop and its readings are made up; said on every page'),
    replay: z
      .number()
      .optional()
      .describe('a recording is lived again, so many times as fast as it happened; said on every page'),
    machines: z.array(machine),
    sensors: z.array(sensor),
    lowBattery: z.number().optional().describe('%; at or below it a battery is low; 20 if not given'),
    sources: z.array(source),
    workClasses: z.array(workClass),
    areas: z.array(area).optional().describe('none if not given'),
    topics: z.array(topicMapping).optional().describe('tried in this order; none if not given'),
    sparkplug: z
      .object({
        requestRebirth: z
          .boolean()
          .describe(
            'nodes whose birth is not known may be asked for it, the one command that the service ever publishes',
          ),
      })
      .optional()
      .describe('not given: commands are never published'),
  })
  .meta({ id: 'Shop' })
/** All that the service knows of a shop from its file. */
export type Shop = z.infer<typeof shopSchema>
