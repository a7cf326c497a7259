import { z } from 'zod'
import { time } from '../../../core/quantities.js'
import { fault } from '../../../core/reason.js'
import { shopSchema } from '../../../core/shop.js'

const duration = z.number().describe('ms')
const celsius = z.number().nullable().describe('°C')

const limitKind = z.enum(['band', 'rate', 'swing', 'gradient'])
const subject = z.object({ kind: z.enum(['machine', 'area']), id: z.string(), name: z.string() })
const limits = shopSchema.shape.machines.element.shape.limits.unwrap()

const kept = z.object({
  within: duration,
  outside: duration,
  notKnown: duration.describe('ms; together they are the period'),
})
/** how long a limit, or all of them, were kept */
export type Kept = z.infer<typeof kept>

const excursion = z.object({
  limit: limitKind,
  from: time,
  to: time.describe('ms since 1970 UTC; end of the last interval outside'),
  worst: z.number().describe('furthest outside: °C for the band, K/h with its sign, K, K/m'),
  beyond: z.number().describe('how far beyond the limit: K, K/h, K, K/m'),
  worstAt: time,
  sensors: z.array(z.string()),
})
export type ShownExcursion = z.infer<typeof excursion>

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
  statistics: z.object({
    minimum: celsius.describe('°C; lowest reading'),
    maximum: celsius.describe('°C; highest reading'),
    mean: celsius.describe('°C; of the means of the intervals'),
    standardDeviation: z.number().nullable().describe('K; of the means of the intervals'),
    readings: z.number(),
    known: z.number().describe('intervals in which something was believed'),
    intervals: z.number().describe('of the period'),
  }),
  gaps: z.array(z.object({ from: time, to: time, why: z.enum(['no readings', 'not believed']) })),
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
  interval: duration.describe('ms; what limits are judged by and means are taken of'),
  subject,
  limits: limits.nullable(),
  kept: z
    .object({
      limits: z.array(kept.extend({ limit: limitKind })),
      all: kept,
      excursions: z.array(excursion),
      withoutPositions: z.boolean().describe('a gradient is stated, but fewer than two of its sensors have positions'),
    })
    .nullable()
    .describe('null where no limit is stated, or no sensor is held against it'),
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
