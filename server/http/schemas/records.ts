import { z } from 'zod'
import { excursion, gap, kept, limitsKeptSchema, statistics } from '../../../core/environment/index.js'
import { time } from '../../../core/quantities.js'
import { fault } from '../../../core/reason.js'
import { shopSchema } from '../../../core/shop.js'

const subject = z.object({ kind: z.enum(['machine', 'area']), id: z.string(), name: z.string() })
const limits = shopSchema.shape.machines.element.shape.limits.unwrap()

/** how the limits were kept of late, of all that have some */
export const recordsAnswer = z.object({
  at: time,
  since: z.object({ day: time, week: time, month: time }).describe("the same time by the shop's clock"),
  subjects: z.array(
    z.object({
      ...subject.shape,
      limits,
      day: kept,
      week: kept,
      month: kept,
      newest: excursion.nullable().describe('of the month'),
    }),
  ),
})
export type RecordsAnswer = z.infer<typeof recordsAnswer>

const calibration = shopSchema.shape.sensors.element.shape.calibration.unwrap()

const recordedSensor = z.object({
  sensor: z.string(),
  name: z.string(),
  place: z.string(),
  judged: z.boolean().describe('held against the limits'),
  statistics,
  gaps: z.array(gap),
  calibration: calibration.nullable(),
  overdue: z.number().nullable().describe('days past due at the end of the period; 0: not; null: no day is stated'),
  uncertainty: z.number().describe('K, standard'),
  reportInterval: z.number().describe('s'),
  offsets: z.array(z.object({ since: time, offset: z.number().describe('K') })).describe('in force in the period'),
  course: z
    .array(z.object({ at: time, mean: z.number(), low: z.number(), high: z.number() }))
    .describe('°C; for a chart, only of sensors that are held against the limits'),
})
export type RecordedSensor = z.infer<typeof recordedSensor>

export const recordAnswer = z.object({
  from: time,
  to: time.describe('ms since 1970 UTC; whole intervals, not beyond now'),
  interval: z.number().describe('ms; what limits are judged by and means are taken of'),
  subject,
  limits: limits.nullable(),
  kept: limitsKeptSchema.nullable().describe('null where no limit is stated, or no sensor is held against it'),
  sensors: z.array(recordedSensor),
  notBelieved: z.array(
    z.object({
      sensor: z.string(),
      from: time,
      to: time.nullable().describe('ms since 1970 UTC; null while it lasts'),
      faults: z.array(fault),
    }),
  ),
})
export type RecordAnswer = z.infer<typeof recordAnswer>
