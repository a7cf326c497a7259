import { z } from 'zod'
import { span, time } from '../quantities.js'
import { reason } from '../reason.js'
import { remedy } from '../remedy.js'
import { readyTime } from '../state.js'

// What the morning check answers for one planned job.

const jobError = z.object({
  machine: z.string(),
  start: time.describe('ms since 1970 UTC; of a job begun then'),
  feature: z.number().describe('its number among the features of the job, from 0: the worst one'),
  axis: z.string(),
  error: z.number().describe('m; signed: what would be measured, on the worst axis, at the worst moment of the job'),
  uncertainty: z.number().describe('m; expanded, k = 2'),
  granted: z.number().describe('m; what heat may take of the tolerance'),
  tolerance: z.number().describe('m'),
  budget: z.array(z.object({ name: z.string(), standardUncertainty: z.number().describe('m') })),
})
/** The thermal error of a planned job on its worst axis, at its worst feature. */
export type JobError = z.infer<typeof jobError>

/** In which times a job could be begun on a machine, machine and part both being fit. */
const windows = z.object({
  machine: z.string(),
  fit: z.array(span).describe('if conditions hold, until the end of the shift'),
  afterChange: z.array(span).describe('and with the change made; empty where none is named'),
})

export const answerKind = z.enum(['go', 'go once zeroed', 'wait', 'move', 'cannot tell', 'not today'])
/** What is answered for a planned job. */
export type AnswerKind = z.infer<typeof answerKind>

export const jobAnswer = z
  .object({
    job: z.number(),
    at: time.describe('ms since 1970 UTC; when it was answered'),
    answer: answerKind,
    machine: z.string().describe('id; where it is to be done: another than the planned one only for `move`'),
    start: time.nullable().describe('ms since 1970 UTC; when it is advised to begin; null where no time can be named'),
    ready: readyTime.nullable().describe('for `wait`, and with `move` when the planned machine would be'),
    waitsFor: z.enum(['machine', 'part']).nullable().describe('what is not ready'),
    asPlanned: jobError.nullable().describe('begun as planned, as things stand; null where it cannot be told'),
    asAdvised: jobError.nullable().describe('begun as advised; null where it cannot be told or is not advised'),
    change: remedy.nullable().describe('the one change that would help most'),
    windows: z.array(windows),
    reasons: z.array(reason).describe('largest first'),
  })
  .meta({ id: 'JobAnswer' })
/** The answer to a planned job, and what it rests on. */
export type JobAnswer = z.infer<typeof jobAnswer>

const { budget: _budget, ...keptError } = jobError.shape
const kept = z.object(keptError).nullable()

/** What was answered when, as it is kept: without windows and budget, which are computed again from the readings. */
export const keptAnswer = jobAnswer.omit({ windows: true }).extend({
  day: z.string().describe('ISO 8601 day of the job, in the shop’s time zone'),
  asPlanned: kept,
  asAdvised: kept,
})
export type KeptAnswer = z.infer<typeof keptAnswer>
