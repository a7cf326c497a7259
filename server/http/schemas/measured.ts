import { z } from 'zod'
import { metres, time } from '../../../core/quantities.js'
import { factorChange, measurement } from '../../../core/state.js'

/** who did it, and what there is to say about it: in the body of every write */
export const signed = {
  by: z.string('who does this').trim().min(1, 'who does this').max(80),
  note: z.string('a note').trim().max(500).default(''),
}

const worstWindow = z.object({
  change: metres.describe('m; highest minus lowest growth in the window'),
  from: time,
  to: time,
  lowestAt: time,
  highestAt: time,
  airSwing: z.number().nullable().describe('K; of the air in the same window'),
  ratio: z.number().nullable().describe('m/K; change over air swing'),
})

const sensitivity = z.object({
  slope: z.number().describe('m/K; regression of growth on the air as it was `lag` before'),
  standardError: z.number().describe('m/K; with allowance for values that go with their neighbours'),
  lag: z.number().describe('ms; the lag that fits best'),
  explained: z.number().describe('0..1; part of the variance of growth that the lagged air explains'),
  pairs: z.number(),
})

/** a log without its points */
export const logSummary = z.object({
  id: z.number(),
  axis: z.string(),
  sign: z.union([z.literal(1), z.literal(-1)]).describe('1: a longer axis reads higher; -1: lower'),
  enteredAt: time,
  by: z.string(),
  note: z.string(),
  from: time,
  to: time,
  count: z.number(),
})
export type LogSummary = z.infer<typeof logSummary>

const axisAtRest = z.object({
  axis: z.string(),
  growth: z.array(z.number().nullable()).describe('m against the reference temperature, where the work is held'),
  worst: worstWindow.nullable(),
  sensitivity: sensitivity.nullable().describe('null where the air swung by less than 0.5 K or little is known'),
})

export const environmentAnswer = z.object({
  from: time,
  to: time,
  window: z.number().describe('s'),
  air: z.string().describe('name of the node whose air counts; empty when the machine has none'),
  interval: z.number().describe('ms; each value is a mean over so much time'),
  at: z.array(time),
  airTemperature: z.array(z.number().nullable()).describe('°C'),
  axes: z.array(axisAtRest),
  logs: z.array(logSummary).describe('newest first'),
})
export type EnvironmentAnswer = z.infer<typeof environmentAnswer>

export const comparisonAnswer = z.object({
  log: logSummary,
  comparison: z
    .object({
      points: z.array(z.object({ at: time, measured: metres, predicted: metres, residual: metres })),
      rms: metres.describe('m; root mean square of the residuals'),
      rmsMeasured: metres.describe('m; the same of the measured values about their mean'),
      largest: z.object({ at: time, residual: metres }),
      leftOut: z.number().describe('values at moments for which no growth can be told'),
    })
    .nullable()
    .describe('null when fewer than two values fall where growth is known'),
  worst: worstWindow.omit({ airSwing: true, ratio: true }).nullable().describe('of the measured values'),
})
export type ComparisonAnswer = z.infer<typeof comparisonAnswer>

const judgedMeasurement = measurement.extend({
  computed: metres.nullable().describe('m; nominal growth since the zero; null when it cannot be told'),
  heldOut: metres.nullable().describe('m; computed with factors learned from the other occasions'),
  why: z.string().describe('why it cannot be used; empty when it is'),
})
export type JudgedMeasurement = z.infer<typeof judgedMeasurement>

const learnedFactor = z.object({
  element: z.string(),
  axes: z.array(z.string()),
  factor: z.number(),
  uncertainty: z.number().describe('standard uncertainty of the factor'),
  prior: z.number().describe('the same before anything was measured'),
  atLimit: z.boolean(),
})

export const learningAnswer = z.object({
  measurements: z.array(judgedMeasurement),
  factors: z.array(learnedFactor),
  birgeRatio: z.number().describe('how many times as far as they claim the measurements lie from the fit; at least 1'),
  heldOut: z
    .object({
      occasions: z.number(),
      nominal: metres.describe('m; root mean square error with the nominal model'),
      corrected: metres.describe('m; the same with factors learned from the other occasions'),
      better: z.number().describe('occasions on which the learned factors were the better ones'),
      improves: z.boolean(),
    })
    .nullable()
    .describe('null with fewer than three occasions (days of zeroing)'),
  inUse: factorChange.nullable().describe('null: the nominal model'),
  changes: z.array(factorChange).describe('newest first'),
})
export type LearningAnswer = z.infer<typeof learningAnswer>
