import { z } from 'zod'
import { comparison, sensitivity, worstWindowSchema } from '../../../core/environment/index.js'
import { heldOut, learnedFactor } from '../../../core/learning/index.js'
import { metres, time } from '../../../core/quantities.js'
import { factorChange, measurement } from '../../../core/state.js'

/** who did it, and what there is to say about it: in the body of every write */
export const signed = {
  by: z.string('who does this').trim().min(1, 'who does this').max(80),
  note: z.string('a note').trim().max(500).default(''),
}

const worstWindow = worstWindowSchema.extend({
  change: metres.describe('m; highest minus lowest growth in the window'),
  airSwing: z.number().nullable().describe('K; of the air in the same window'),
  ratio: z.number().nullable().describe('m/K; change over air swing'),
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
  comparison: comparison.nullable().describe('null when fewer than two values fall where growth is known'),
  worst: worstWindow.omit({ airSwing: true, ratio: true }).nullable().describe('of the measured values'),
})
export type ComparisonAnswer = z.infer<typeof comparisonAnswer>

const judgedMeasurement = measurement.extend({
  computed: metres.nullable().describe('m; nominal growth since the zero; null when it cannot be told'),
  heldOut: metres.nullable().describe('m; computed with factors learned from the other occasions'),
  why: z.string().describe('why it cannot be used; empty when it is'),
})
export type JudgedMeasurement = z.infer<typeof judgedMeasurement>

export const learningAnswer = z.object({
  measurements: z.array(judgedMeasurement),
  factors: z.array(learnedFactor.extend({ axes: z.array(z.string()) })),
  birgeRatio: z.number().describe('how many times as far as they claim the measurements lie from the fit; at least 1'),
  heldOut: heldOut.nullable().describe('null with fewer than three occasions (days of zeroing)'),
  inUse: factorChange.nullable().describe('null: the nominal model'),
  changes: z.array(factorChange).describe('newest first'),
})
export type LearningAnswer = z.infer<typeof learningAnswer>
