import { z } from 'zod'
import { commonCause } from './common-cause.js'
import { datum } from './facts.js'
import { metres, numberOrNull, time } from './quantities.js'
import { fault, reason, trust, verdict } from './reason.js'
import { remedy } from './remedy.js'

// What the service knows at a moment and the pages show. Produced by the monitor, sent as JSON by the HTTP interface,
// read by the pages: one schema for all three. SI units; times in ms since 1970 (UTC).

export * from './common-cause.js'
export * from './facts.js'
export * from './reason.js'
export * from './remedy.js'

const span = z.object({ low: z.number(), high: z.number() })
const axisJob = z.object({
  axis: z.string(),
  sizeError: z.number().describe('m; signed size error of the feature (absolute, or since the datum)'),
  drift: z.number().describe('m; signed largest drift within the job (or since the datum)'),
  error: z
    .number()
    .describe('m; signed: what would be measured on a feature cut now, size error and the drift until then'),
  range: span.describe('m; what that runs through within the job, on whichever side of the feature the drift falls'),
  uncertainty: z.number().describe('m; expanded uncertainty of error, k = 2'),
  errorInHour: z.number().describe('m; error of a job begun in an hour, if conditions hold'),
  rangeInHour: span.describe('m; and the range it would run through'),
  budget: z
    .array(z.object({ name: z.string(), standardUncertainty: z.number().describe('m') }))
    .describe('largest first'),
  parts: z
    .array(z.object({ name: z.string(), node: z.string().optional(), amount: z.number().describe('m') }))
    .describe('parts of error, largest first'),
})
/** The thermal error of a job on one axis. */
export type AxisJob = z.infer<typeof axisJob>

export const readyTime = z.object({
  earliest: time.describe('ms since 1970 UTC; from then on it cannot be ruled out that the error is within the share'),
  likely: time.describe('ms since 1970 UTC; from then on the error itself is likely within the share'),
  latest: time.describe(
    'ms since 1970 UTC; from then on so is the error with its uncertainty: the verdict will be fit',
  ),
})
/** When a job could begin, if conditions hold or under a plan. */
export type ReadyTime = z.infer<typeof readyTime>

const fitByRecord = z.object({
  kept: z.number().describe('how many came true: fit was shown by then'),
  of: z.number(),
})
/** What became of the times that were named last as "fit by". */
export type FitByRecord = z.infer<typeof fitByRecord>

export const classState = z.object({
  workClass: z.string(),
  verdict,
  since: time.describe('ms since 1970 UTC; since when this verdict stands'),
  thermalErrorIndex: numberOrNull('percent of the tolerance; null when unknown'),
  counted: numberOrNull(
    'percent of the tolerance; error with as many standard uncertainties as a machine must have to become fit, or while it is, to stay so: the verdict compares it with the share',
  ),
  ready: readyTime.nullable().describe('only for `settling`'),
  reasons: z.array(reason).describe('largest first; for `fit` they say what is to be watched'),
  remedy: remedy.nullable().describe('what to do about it; null when fit'),
  fitByRecord: fitByRecord
    .nullable()
    .describe('of the times named last as "fit by"; null before it is known of any what came'),
  axes: z.array(axisJob),
})
/** What is said of one kind of work on one machine. */
export type ClassState = z.infer<typeof classState>

const nodeState = z.object({
  node: z.string(),
  temperature: numberOrNull('°C; null when nothing believable is known'),
  rate: numberOrNull('K/h'),
  steadyExcess: numberOrNull('K above what it follows that the node is heading for'),
  timeConstant: numberOrNull('s; in use'),
  timeConstantUncertainty: numberOrNull('relative, standard'),
  at: time.nullable(),
  trust,
  standIn: z.boolean().describe('true when the value comes from the stand-in'),
})
/** What is known of one node of a machine. */
export type NodeState = z.infer<typeof nodeState>

const axisGrowth = z.object({
  axis: z.string(),
  atZero: numberOrNull('m; against the shop’s reference temperature, at position 0'),
  atWork: numberOrNull('m; where the work is held'),
  atTravel: numberOrNull('m; at full travel'),
  sinceDatum: numberOrNull('m; at the work; null without a datum'),
  rate: numberOrNull('m/s'),
})
/** Growth of an axis at both ends of its travel and where the work is held. */
export type AxisGrowth = z.infer<typeof axisGrowth>

const spindleState = z.object({
  growth: metres.nullable().describe('m; of the spindle now, by its speed; null where its speed does not arrive'),
  standardUncertainty: metres.nullable(),
  speed: numberOrNull('1/s; now'),
  steadyGrowth: metres.nullable().describe('m; steady growth at that speed'),
  workSpeed: z.number().describe('1/s; what jobs are taken to run it at where they do not say'),
  workGrowth: metres.describe('m; steady growth at the work speed'),
  isBeyond: z.boolean().describe('it turns faster now than was tested'),
  axis: z.string().describe('id of the axis that it moves'),
  testedAt: time.nullable().describe('ms since 1970 UTC; null: the shop file states its growth'),
})
/** How a spindle has grown now. */
export type SpindleState = z.infer<typeof spindleState>

export const machineState = z
  .object({
    machine: z.string(),
    at: time.describe('ms since 1970 UTC; moment of this evaluation'),
    classes: z.array(classState),
    nodes: z.array(nodeState),
    growth: z.array(axisGrowth),
    spindle: spindleState
      .optional()
      .describe('of a machine whose spindle was tested, or whose growth the shop file states'),
    datum: datum.nullable(),
  })
  .meta({ id: 'MachineState' })
/** What is said of a machine at a moment. */
export type MachineState = z.infer<typeof machineState>

const battery = z.object({
  value: z.number(),
  unit: z.enum(['%', 'V']),
  low: z.boolean().describe('by the threshold of the shop file'),
  at: time,
})
/** What is left in a sensor's battery, by its own word. */
export type Battery = z.infer<typeof battery>

const signal = z.object({ value: z.number(), unit: z.enum(['dBm', '%']), at: time })
/** How well a sensor's radio is received, by its own word or its gateway's. */
export type Signal = z.infer<typeof signal>

export const sensorState = z
  .object({
    sensor: z.string(),
    value: numberOrNull('°C, offset applied; 1 or 0 for a state sensor; null before the first reading'),
    at: time.nullable(),
    trust,
    fault: fault.nullable().describe('why not ok; null when ok'),
    since: time.describe('ms since 1970 UTC; since when the trust stands'),
    battery: battery
      .optional()
      .describe('what is left, as its device told last; not given while it has told nothing since the service started'),
    signal: signal.optional().describe('how well its radio is received; as above'),
  })
  .meta({ id: 'SensorState' })
/** What is known of a sensor at a moment. */
export type SensorState = z.infer<typeof sensorState>

const sourceState = z.object({
  source: z.string(),
  active: z.boolean().nullable().describe('open or running; null when no sensor tells'),
  since: time.nullable(),
  temperature: numberOrNull('°C beside it'),
})
/** Whether a door or vent is open, or a heat source runs, and since when. */
export type SourceState = z.infer<typeof sourceState>

const shopState = z
  .object({
    at: time,
    air: numberOrNull('°C, mean of shop-air sensors that are believed'),
    airRate: numberOrNull('K/h'),
    outdoors: numberOrNull('°C'),
    sources: z.array(sourceState),
    common: z
      .array(commonCause)
      .describe('one for each work class of which most machines are not fit through one cause'),
    newestReading: time.nullable().describe('ms since 1970 UTC; event time of the newest reading of any sensor'),
    broker: z.enum(['connected', 'away']),
    unstored: z
      .string()
      .nullable()
      .describe('why readings cannot be stored now, and what to do; null while they can. They wait at the broker'),
    shopProblem: z
      .string()
      .optional()
      .describe('what is wrong with the shop file as it is now: the one read before stays in force'),
    troubles: z.array(z.string()).describe('what else makes readings go missing, and what to do'),
    filling: numberOrNull('0..1 while the demo fills its history'),
  })
  .meta({ id: 'ShopState' })
/** What is said of the shop as a whole at a moment. */
export type ShopState = z.infer<typeof shopState>

const forecastBand = z.object({ mean: z.array(z.number()), standardUncertainty: z.array(z.number()) })
/** A quantity ahead: one value for each of the forecast's times. */
export type ForecastBand = z.infer<typeof forecastBand>

export const forecast = z.object({
  machine: z.string(),
  at: time.describe('ms since 1970 UTC; the moment it was made'),
  times: z.array(time),
  nodes: z.array(forecastBand.extend({ node: z.string() })).describe('°C, K'),
  axes: z
    .array(forecastBand.extend({ axis: z.string() }))
    .describe('m; growth against the shop’s reference temperature where the work is held'),
  classes: z
    .array(z.object({ workClass: z.string(), ready: readyTime.nullable() }))
    .describe('when a job of each class could start; null when no time within 72 h can be named'),
})
/** Where a machine will be, if conditions hold or under a plan. */
export type Forecast = z.infer<typeof forecast>
