import { z } from 'zod'
import type {
  AxisGrowth,
  AxisJob,
  ClassState,
  Datum,
  Forecast,
  MachineState,
  NodeState,
  Reason,
  SensorState,
  ShopState,
  VerdictChange,
} from '../../../core/state.js'

// The types live in core, which knows no zod: `satisfies` keeps these schemas to them. Times are ms since 1970 UTC.

const time = z.number().describe('ms since 1970 UTC')
const verdict = z.enum(['fit', 'settling', 'unfit', 'unknown'])
const trust = z.enum(['ok', 'late', 'lost', 'suspect'])

const reason = z.object({
  kind: z.enum([
    'growth',
    'drift',
    'bending',
    'workpiece',
    'uncertainty',
    'pretension',
    'missing',
    'stand-in',
    'waiting',
    'calibration',
  ]),
  text: z.string().describe('in metric units'),
  textInch: z.string().describe('in inches and °F'),
  axis: z.string().optional(),
  node: z.string().optional(),
  source: z.string().optional(),
  amount: z.number().describe('m; signed share in the error'),
}) satisfies z.ZodType<Reason>

const axisJob = z.object({
  axis: z.string(),
  sizeError: z.number().describe('m'),
  drift: z.number().describe('m; largest within the job, or since the datum'),
  error: z.number().describe('m; what the mark on the wall shows'),
  uncertainty: z.number().describe('m; expanded, k = 2'),
  errorInHour: z.number().describe('m; for a job begun in an hour, if conditions hold'),
  budget: z.array(z.object({ name: z.string(), standardUncertainty: z.number().describe('m') })),
  parts: z.array(z.object({ name: z.string(), node: z.string().optional(), amount: z.number().describe('m') })),
}) satisfies z.ZodType<AxisJob>

const ready = z.object({ earliest: time, likely: time, latest: time }).nullable()

const classState = z.object({
  workClass: z.string(),
  verdict,
  since: time,
  thermalErrorIndex: z.number().nullable().describe('percent of the tolerance'),
  ready,
  reasons: z.array(reason).describe('largest first'),
  axes: z.array(axisJob),
}) satisfies z.ZodType<ClassState>

const nodeState = z.object({
  node: z.string(),
  temperature: z.number().nullable().describe('°C'),
  rate: z.number().nullable().describe('K/h'),
  steadyExcess: z.number().nullable().describe('K'),
  timeConstant: z.number().nullable().describe('s'),
  timeConstantUncertainty: z.number().nullable().describe('relative, standard'),
  at: time.nullable(),
  trust,
  standIn: z.boolean().describe('true when the value comes from the stand-in'),
}) satisfies z.ZodType<NodeState>

const axisGrowth = z.object({
  axis: z.string(),
  atZero: z.number().nullable().describe('m; against 20 °C, at position 0'),
  atWork: z.number().nullable().describe('m; where the work is held'),
  atTravel: z.number().nullable().describe('m; at full travel'),
  sinceDatum: z.number().nullable().describe('m; at the work'),
  rate: z.number().nullable().describe('m/s'),
}) satisfies z.ZodType<AxisGrowth>

export const datum = z
  .object({
    id: z.number(),
    machine: z.string(),
    at: time,
    by: z.string(),
    note: z.string(),
    temperatures: z.record(z.string(), z.number()).describe('°C by node'),
  })
  .meta({ id: 'Datum' }) satisfies z.ZodType<Datum>

export const machineState = z
  .object({
    machine: z.string(),
    at: time,
    classes: z.array(classState),
    nodes: z.array(nodeState),
    growth: z.array(axisGrowth),
    datum: datum.nullable(),
  })
  .meta({ id: 'MachineState' }) satisfies z.ZodType<MachineState>

export const sensorState = z
  .object({
    sensor: z.string(),
    value: z.number().nullable().describe('°C, offset applied; 1 or 0 for a state sensor'),
    at: time.nullable(),
    trust,
    reason: z.string(),
    remedy: z.string().describe('what to do about it; empty when it is believed'),
    since: time,
    battery: z
      .object({
        value: z.number(),
        unit: z.enum(['%', 'V']),
        low: z.boolean().describe('by the threshold of the shop file'),
        at: time,
      })
      .optional()
      .describe('what is left, as its device told last; not given while it has told nothing since the service started'),
    signal: z
      .object({ value: z.number(), unit: z.enum(['dBm', '%']), at: time })
      .optional()
      .describe('how well its radio is received; as above'),
  })
  .meta({ id: 'SensorState' }) satisfies z.ZodType<SensorState>

export const shopState = z
  .object({
    at: time,
    air: z.number().nullable().describe('°C'),
    airRate: z.number().nullable().describe('K/h'),
    outdoors: z.number().nullable().describe('°C'),
    sources: z.array(
      z.object({
        source: z.string(),
        active: z.boolean().nullable(),
        since: time.nullable(),
        temperature: z.number().nullable().describe('°C'),
      }),
    ),
    newestReading: time.nullable(),
    broker: z.enum(['connected', 'away']),
    unstored: z.string().nullable().describe('why readings cannot be stored now, and what to do'),
    filling: z.number().nullable().describe('0..1 while the demo fills its history'),
  })
  .meta({ id: 'ShopState' }) satisfies z.ZodType<ShopState>

export const verdictChange = z
  .object({
    machine: z.string(),
    workClass: z.string(),
    at: time,
    verdict,
    thermalErrorIndex: z.number().nullable(),
    reason: z.string(),
  })
  .meta({ id: 'VerdictChange' }) satisfies z.ZodType<VerdictChange>

const band = { mean: z.array(z.number()), standardUncertainty: z.array(z.number()) }

export const forecast = z.object({
  machine: z.string(),
  at: time,
  times: z.array(time),
  nodes: z.array(z.object({ node: z.string(), ...band })).describe('°C, K'),
  axes: z.array(z.object({ axis: z.string(), ...band })).describe('m; growth against 20 °C at the work'),
  classes: z.array(z.object({ workClass: z.string(), ready })),
}) satisfies z.ZodType<Forecast>
