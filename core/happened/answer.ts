import { z } from 'zod'
import { alignmentKind } from '../alignment/index.js'
import { signature, span, time } from '../quantities.js'
import { fault, reason, trust, verdict } from '../reason.js'
import { workChange } from './work-change.js'

// What happened on a machine over a stretch of its past, as it was believed then.

const values = z.array(z.number().nullable())

/** Something that happened at a moment, beside what courses and states tell. */
const mark = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('datum'), at: time, ...signature, firstPart: z.boolean() }),
  z.object({ kind: z.literal('factors'), at: time, ...signature, accepted: z.boolean() }),
  z.object({ kind: z.literal('offset'), at: time, ...signature, sensor: z.string(), change: z.number().describe('K') }),
  z.object({ kind: z.literal('alignment'), at: time, ...signature, check: alignmentKind }),
  z.object({ kind: z.literal('decision'), at: time, ...signature, decision: z.string() }),
  z.object({ kind: z.literal('work change'), at: time, ...signature, change: workChange }),
  z.object({ kind: z.literal('trust'), at: time, sensor: z.string(), trust, fault: fault.nullable() }),
])
export type Mark = z.infer<typeof mark>

/** How a job would have come out that was begun at a moment. */
const jobOutcome = z.enum(['within', 'perhaps', 'beyond', 'not known', 'not over'])
export type JobOutcome = z.infer<typeof jobOutcome>

const jobsBegun = z.object({
  workClass: z.string(),
  granted: z.number().describe('m; what heat may take of the tolerance'),
  stretches: z
    .array(z.object({ ...span.shape, outcome: jobOutcome }))
    .describe('by the moment at which the job begins'),
  worst: z
    .object({
      at: time.describe('ms since 1970 UTC; of a job begun then'),
      axis: z.string(),
      error: z.number().describe('m; size error and the largest drift within the job, with the sign of the size error'),
      uncertainty: z.number().describe('m; expanded, k = 2'),
    })
    .nullable()
    .describe('null where nothing is known'),
  shownFit: z.number().describe('s; for so long the wall said fit while a job begun then came out beyond'),
})
/** What would have become of jobs of a work class begun at each moment of a stretch. */
export type JobsBegun = z.infer<typeof jobsBegun>

export const happenedAnswer = z.object({
  machine: z.string(),
  ...span.shape,
  at: z.array(time).describe('ms since 1970 UTC; middle of each interval of nodes and axes'),
  width: z.number().describe('ms; of an interval'),
  nodes: z.array(z.object({ node: z.string(), value: values.describe('°C; null where not known') })),
  axes: z.array(
    z.object({
      axis: z.string(),
      growth: values.describe('m; against the reference temperature, where the work is held; null where not known'),
      uncertainty: values.describe('m; standard'),
    }),
  ),
  spindle: z
    .object({
      axis: z.string().nullable().describe('that it moves; null: nothing is known of its growth'),
      speed: values.describe('1/s; at the same moments; null where not known'),
      growth: values.describe('m; that it adds to the axis by its speed, sign included; null where not known'),
      uncertainty: values.describe('m; standard'),
    })
    .nullable()
    .describe('null where no sensor tells its speed'),
  places: z
    .array(z.object({ id: z.string(), name: z.string(), at: z.array(time), value: values }))
    .describe('°C of the air of the shop and outdoors'),
  sources: z.array(
    z.object({
      source: z.string(),
      active: z.array(span).nullable().describe('when it was open or ran; null where nothing tells'),
    }),
  ),
  marks: z.array(mark).describe('in order of time'),
  work: z.array(z.object({ ...span.shape, part: z.string(), job: z.number() })).describe('jobs that were planned here'),
  wall: z.array(
    z.object({
      workClass: z.string(),
      bands: z.array(z.object({ ...span.shape, verdict, because: reason.nullable().describe('the main reason') })),
    }),
  ),
  jobs: z.array(jobsBegun),
})
/** What happened on a machine over a stretch of its past. */
export type HappenedAnswer = z.infer<typeof happenedAnswer>
