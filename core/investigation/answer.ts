import { z } from 'zod'
import { workChange } from '../happened/index.js'
import { cutSides, longerAxis, zeroedFor } from '../inspection/index.js'
import { metres, numberOrNull, seconds, time } from '../quantities.js'
import { verdict } from '../reason.js'

// What the scrap investigation answers. SI; reasons are data, core/sentences makes words of them.

const share = z.number().describe('0..1')

/** a figure and its 90 % interval; null: it has no end on that side */
const toldFigure = z.object({ value: z.number(), low: z.number().nullable(), high: z.number().nullable() })
const told = (meaning: string) => toldFigure.describe(`${meaning}, with its 90 % interval`)
/** A figure and its 90 % interval; null: it has no end on that side. */
export type ToldFigure = z.infer<typeof toldFigure>

export const conclusion = z.enum(['most', 'part', 'not heat', 'cannot be told'])
/** Whether heat made most of the deviations, a part of them, or none that counts. */
export type Conclusion = z.infer<typeof conclusion>

export const doubt = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('too few parts'), parts: z.number(), needed: z.number() }),
  z.object({
    kind: z.literal('too little movement'),
    predicted: metres.describe('m; standard deviation of what heat predicts'),
    scatter: metres.describe('m; standard deviation of the deviations'),
  }),
  z.object({ kind: z.literal('chance'), chance: share, level: share }),
  z.object({
    kind: z.literal('half days').describe('half days exchanged for those of other days go with it as well'),
    chance: share,
    level: share,
    exchanges: z.number().describe('ways in which they can lie that were tried'),
  }),
  z.object({ kind: z.literal('slope'), slope: toldFigure }),
  z.object({ kind: z.literal('wide'), explained: toldFigure }),
  z.object({ kind: z.literal('other explanation'), name: z.string(), explained: share }),
])
/** Why nothing can be told, or what speaks against heat. */
export type Doubt = z.infer<typeof doubt>

export const suspect = z.enum(['tool', 'tool wear', 'lot', 'set-up', 'who', 'order', 'slow change', 'gauge', 'offset'])
/** What else can make parts differ. */
export const otherCause = z.object({
  suspect,
  answer: z.enum(['explains', 'no sign', 'cannot be told', 'not recorded']),
  explained: share
    .nullable()
    .describe(
      'by this alone, of the variance that heat leaves, or of all where heat explains nothing; null: not recorded',
    ),
  chance: share.nullable().describe('how often something that has nothing to do with it explains as much'),
  effect: told('m per part for tool wear, m a day for a slow change, m for an offset, m between the groups otherwise')
    .nullable()
    .describe('null where there is no single figure'),
})
export type OtherCause = z.infer<typeof otherCause>

export const settles = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('more parts'), parts: z.number().describe('so many more, at temperatures like these') }),
  z.object({
    kind: z.literal('two temperatures'),
    parts: z.number().describe('at each of two states of the machine'),
    apart: metres.describe('m; by which the prediction should differ between them'),
  }),
  z.object({ kind: z.literal('measure twice'), parts: z.number() }),
  z.object({ kind: z.literal('record'), suspect: suspect.describe('what is not recorded, and may be the cause') }),
  z.object({ kind: z.literal('turn about'), suspect: suspect.describe('what changed together with the temperature') }),
  z.object({ kind: z.literal('times').describe('write when each part was cut: the times seem to be an hour off') }),
  z.object({ kind: z.literal('datum').describe('record when the machine is zeroed') }),
])
/** What would settle what is open. */
export type Settles = z.infer<typeof settles>

const heatFinding = z.object({
  conclusion,
  doubts: z.array(doubt),
  parts: z.number().describe('that count: measured, predicted and at a known time'),
  explained: told(
    'share of the variance that the prediction takes away, its slope taken between physics’ 1 and what the parts show',
  ).nullable(),
  asPredicted: share.nullable().describe('the same with the prediction exactly as it stands; may be below 0'),
  slope: told('m/m, deviations on predictions; physics expects 1').nullable(),
  chance: share.nullable().describe('how often the course goes as well with the deviations when moved round in time'),
  chanceHalfDays: share.nullable().describe('the same with half days exchanged for the same halves of other days'),
  exchanges: z.number().describe('ways in which the half days can lie that were tried'),
  level: share.describe('what chance may be at most, allowing for how many features were looked at (Holm)'),
  scatter: metres.nullable().describe('m; standard deviation of the deviations; 1 for all together, each in its own'),
  movement: metres.nullable().describe('m; standard deviation of the predictions'),
  left: metres.nullable().describe('m; standard deviation of what the prediction leaves'),
  others: z.array(otherCause),
  settles: z.array(settles).describe('what would help most first'),
})
/** What is found of parts of one feature on one machine, or of all together. */
export type HeatFindingAnswer = z.infer<typeof heatFinding>

const counts = z.object({ good: z.number(), rejects: z.number() })
const verdictTable = z.object({
  workClass: z.string().nullable().describe('id; null: several'),
  fit: counts,
  notFit: counts.describe('cut while settling or unfit'),
  unknown: counts.describe('cut while unknown, or before anything was on record; they do not count'),
  rejectedFit: told('0..1; share of rejects among those cut while fit').nullable(),
  rejectedNotFit: told('0..1; share of rejects among those cut while not fit').nullable(),
  exact: share.nullable().describe('Fisher’s exact test, two-sided; takes parts as independent of each other'),
  halfDays: share
    .nullable()
    .describe('how often half days exchanged for the same halves of other days show as many rejects while not fit'),
  exchanges: z.number().describe('ways in which half days could be exchanged that were tried'),
  oddsRatio: told('how much oftener a part was rejected when it was cut while not fit').nullable(),
})
export type VerdictTable = z.infer<typeof verdictTable>

const rejectCurve = z.object({
  separated: z.boolean().describe('rejects and good parts lie apart, so that the curve has no intervals'),
  half: numberOrNull('m; predicted error, without sign, at which half are rejected'),
  points: z.array(z.object({ error: metres, probability: share, low: share.nullable(), high: share.nullable() })),
  bins: z.array(z.object({ from: metres, to: metres, parts: z.number(), rejects: z.number(), share: toldFigure })),
})
export type RejectCurve = z.infer<typeof rejectCurve>

const lag = z.object({
  air: z.string().describe('id of the air node'),
  deviations: seconds.nullable().describe('s; the delay at which the air explains most of the deviations'),
  explained: share.nullable().describe('of the variance of deviations, by the air so late'),
  predictions: seconds.nullable().describe('s; the same of what heat predicts: what is to be expected'),
  slowest: seconds.nullable().describe('s; time constant of the slowest body of the axis'),
})
const clockQuestion = z.object({
  offset: seconds.describe('s; cut times so much later than written would go much better with the prediction'),
  asWritten: share.describe('share explained, may be below 0'),
  moved: share,
})

const course = z.object({
  from: time,
  step: z.number().describe('ms'),
  values: z.array(z.number().nullable()).describe('null where it was not known'),
})
export type CourseAnswer = z.infer<typeof course>

const group = z.object({
  part: z.string(),
  feature: z.string(),
  machine: z.string().describe('id'),
  axis: z.string().nullable(),
  axisFound: z.boolean().describe('it was not known: this one goes best with the deviations, allowing for the choice'),
  longer: longerAxis,
  cut: cutSides,
  zeroed: zeroedFor,
  nominal: metres,
  lower: metres.nullable().describe('m; limit as a deviation from nominal'),
  upper: metres.nullable(),
  inspections: z.number(),
  rejects: z.number(),
  rejectsPredicted: z.number().describe('of the rejects, those that heat alone takes beyond the limit'),
  finding: heatFinding,
  verdicts: verdictTable.nullable().describe('null where the shop has no work class'),
  curve: rejectCurve.nullable().describe('null where all parts were good, or none'),
  lag: lag.nullable(),
  clock: clockQuestion.nullable().describe('null: nothing speaks for a wrong clock'),
  course: course.describe('m; what heat predicts of a part cut then'),
  uncertainty: course.describe('m, standard; of that'),
  air: course.describe('°C; at the machine'),
})
/** Parts of one feature, made on one machine. */
export type InvestigatedGroup = z.infer<typeof group>

const predictedError = z.object({
  error: metres.describe('m; size error and drift as they count in the size: what heat alone predicts, signed'),
  sizeError: metres.describe('m; by scale and part not being at 20 °C, or as they were at a first part'),
  drift: metres.describe('m; of the zero since the datum in force, as it counts in the size; tilt is in it'),
  tilt: metres.describe('m; what of the drift comes from bending'),
  uncertainty: metres.describe('m, standard'),
})
export type PredictedError = z.infer<typeof predictedError>

const missing = z.enum(['no such machine', 'no such axis', 'temperatures not known', 'ahead of now'])

const investigatedPart = z.object({
  inspection: z.number().describe('id'),
  group: z.number().describe('its place in `groups`'),
  serial: z.string(),
  from: time,
  to: time,
  deviation: metres.describe('m; measured less nominal, at 20 °C'),
  offset: metres.describe(
    'm; what of it offsets made that were changed and entered; it is taken off before heat is looked for',
  ),
  deviationUncertainty: metres.describe('m, standard; of bringing it to 20 °C'),
  reject: z.enum(['too small', 'too large']).nullable(),
  predicted: predictedError.nullable(),
  missing: missing.nullable().describe('why nothing is predicted'),
  verdict: verdict.nullable().describe('that the wall showed at the middle of the cut; null: none is on record'),
  tool: z.string(),
  toolCount: z.number().nullable(),
  lot: z.string(),
  setup: z.string(),
  who: z.string(),
  note: z.string(),
})
export type InvestigatedPart = z.infer<typeof investigatedPart>

export const assumption = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('no datum'), machine: z.string(), parts: z.number() }),
  z.object({ kind: z.literal('material not said'), parts: z.number() }),
  z.object({ kind: z.literal('gauge not said'), parts: z.number() }),
  z.object({ kind: z.literal('limits not said'), parts: z.number() }),
  z.object({ kind: z.literal('not predicted'), why: missing, parts: z.number() }),
  z.object({ kind: z.literal('clock moved'), offset: seconds }),
])
/** What was assumed, or left out, and of how many parts. */
export type Assumption = z.infer<typeof assumption>

export const investigationAnswer = z
  .object({
    at: time,
    from: time.nullable().describe('ms since 1970 UTC; first cut; null: there is no inspection'),
    to: time.nullable(),
    inspections: z.number(),
    rejects: z.number(),
    all: heatFinding.describe('of all features together, each counted in its own scatter'),
    allVerdicts: verdictTable.nullable(),
    groups: z.array(group).describe('most rejects first'),
    groupsLeftOut: z.number().describe('further ones, without parts of theirs in `parts`'),
    parts: z.array(investigatedPart).describe('in order of time; rejects before others where there are too many'),
    partsLeftOut: z.number(),
    datums: z.array(z.object({ machine: z.string(), at: time, firstPart: z.boolean().nullable() })),
    changes: z
      .array(workChange)
      .describe('tools, offsets, set-ups and shifts that were entered, in the time of the parts'),
    assumptions: z.array(assumption),
  })
  .meta({ id: 'Investigation' })
/** The answer to: was it heat? */
export type InvestigationAnswer = z.infer<typeof investigationAnswer>

export const change = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('held'), temperature: z.number().describe('°C; machine, part and datum') }),
  z.object({ kind: z.literal('datum again'), clock: z.string().describe('HH:MM by the shop’s clock, each day') }),
  z.object({ kind: z.literal('machine'), machine: z.string() }),
  z.object({ kind: z.literal('hour'), offset: seconds.describe('s; each part cut so much later, or earlier') }),
])
/** What could have been otherwise. */
export type Change = z.infer<typeof change>

const outcome = z.object({
  rejects: told('how many would have been rejected'),
  mean: metres.describe('m; of the deviations'),
  spread: metres.describe('m; their standard deviation'),
})
const whatIfCase = z.object({
  change,
  parts: z.number().describe('of which it can be told'),
  rejectsAsItWas: z.number().describe('among them'),
  offsetKept: outcome.describe('the offset stays as it was set'),
  centred: outcome.describe('the parts are centred again between their limits'),
  deviations: z.array(
    z.object({ inspection: z.number(), deviation: metres.describe('m; as it would have been, the offset kept') }),
  ),
})
export type WhatIfCase = z.infer<typeof whatIfCase>

export const whatIfAnswer = z
  .object({
    at: time,
    groups: z.array(
      z.object({
        part: z.string(),
        feature: z.string(),
        machine: z.string(),
        conclusion,
        cases: z.array(whatIfCase),
      }),
    ),
  })
  .meta({ id: 'WhatIf' })
/** What the same parts would have been like. */
export type WhatIfAnswer = z.infer<typeof whatIfAnswer>
