import { z } from 'zod'
import { alignmentCheck } from '../../core/alignment/index.js'
import { workChange } from '../../core/happened/index.js'
import { inspectionKind } from '../../core/inspection/index.js'
import { decision, jobPlan, keptAnswer, plannedJob } from '../../core/morning/index.js'
import { signature } from '../../core/quantities.js'
import { identification } from '../../core/settling/index.js'
import { shopModel } from '../../core/shop-model/index.js'
import { runEvents, spindleRun, spindleTest, toolList, toolListEntry } from '../../core/spindle/index.js'
import {
  begunImport,
  datum,
  driftLog,
  endedImport,
  factorChange,
  fitByOutcome,
  importTakenBack,
  measurement,
  offsetChange,
  recordingKind,
  trustChange,
  verdictChange,
} from '../../core/state.js'

/** what the database adds */
const id = { id: true } as const
const setAside = z.object({
  ...measurement.shape.setAside.unwrap().shape,
  machine: z.string(),
  measurement: z.number(),
})
const signed = { at: z.number(), ...signature }
/** what takes something of a machine back, ends or changes it */
const ended = z.object({ machine: z.string(), ...signed })
/** why an identification is not used was a sentence before it was kept as data; empty: none */
const onceSaid = z.preprocess(
  kept => (typeof kept === 'string' ? (kept === '' ? null : { kind: 'told', text: kept }) : kept),
  identification.shape.refusal,
)
/** ISO 8601 day, in the shop's time zone */
const day = { day: z.string() }

/**
 * Every kind of fact: what it says, and by which of its fields it is found. `subject` is what it concerns, `part` a part
 * of that; `at` is when it was recorded, the field `at` if not said otherwise; `closes` is the id of the fact that it takes
 * back or ends, which happens once. A field added to a kind must be optional or have a default: facts of before lack it.
 */
export const factKinds = {
  verdict: { schema: verdictChange, subject: 'machine', part: 'workClass' },
  'fit by': { schema: fitByOutcome, subject: 'machine', part: 'workClass' },
  trust: { schema: trustChange, subject: 'sensor' },
  datum: { schema: datum.omit(id), subject: 'machine' },
  'drift log': { schema: driftLog.omit(id), subject: 'machine', part: 'axis', at: 'enteredAt' },
  measurement: {
    schema: measurement.omit({ ...id, setAside: true }),
    subject: 'machine',
    part: 'axis',
    at: 'enteredAt',
  },
  'measurement set aside': { schema: setAside, subject: 'machine', closes: 'measurement' },
  'alignment check': { schema: alignmentCheck.omit(id), subject: 'machine', part: 'kind', at: 'enteredAt' },
  'alignment check taken back': { schema: ended.extend({ check: z.number() }), subject: 'machine', closes: 'check' },
  'work change': { schema: workChange.omit(id), subject: 'machine', part: 'kind', at: 'enteredAt' },
  'work change taken back': { schema: ended.extend({ change: z.number() }), subject: 'machine', closes: 'change' },
  'spindle run': { schema: spindleRun.omit(id), subject: 'machine' },
  // in the order in which they arrived, which a lost network makes another than that of their time
  'spindle run events': {
    schema: z.object({ machine: z.string(), run: z.number(), at: z.number(), events: runEvents }),
    subject: 'machine',
  },
  'spindle run given up': { schema: ended.extend({ run: z.number() }), subject: 'machine', closes: 'run' },
  // of a guided test (`run`) that it ends, or sent as a whole
  'spindle test': { schema: spindleTest.omit(id), subject: 'machine', at: 'enteredAt', closes: 'run' },
  'spindle test taken back': { schema: ended.extend({ test: z.number() }), subject: 'machine', closes: 'test' },
  'tool list': { schema: toolList.omit({ ...id, changedAt: true }), subject: 'machine', at: 'enteredAt' },
  // of a list as it was entered, or last changed (`version`); `became` null: withdrawn
  'tool list change': {
    schema: ended.extend({ list: z.number(), version: z.number(), became: toolListEntry.nullable() }),
    subject: 'machine',
    closes: 'version',
  },
  factors: { schema: factorChange.omit(id), subject: 'machine' },
  identification: { schema: identification.omit(id).extend({ refusal: onceSaid }), subject: 'machine', part: 'node' },
  'shop model': { schema: shopModel, subject: 'shop' },
  import: { schema: begunImport, subject: 'file' },
  'import ended': {
    schema: endedImport.extend({ file: z.string(), import: z.number() }),
    subject: 'file',
    closes: 'import',
  },
  'import taken back': { schema: importTakenBack, subject: 'file', closes: 'end' },
  'recording kind': { schema: recordingKind, subject: 'headings' },
  'planned job': { schema: plannedJob.omit(id).extend(day), subject: 'day', at: 'enteredAt' },
  // of a job as it was entered, or last changed (`version`); `became` null: withdrawn
  'job change': {
    schema: z.object({ ...day, job: z.number(), version: z.number(), ...signed, became: jobPlan.nullable() }),
    subject: 'day',
    closes: 'version',
  },
  decision: { schema: decision, subject: 'machine' },
  'job answer': { schema: keptAnswer, subject: 'day' },
  // of parts that were measured; one that is entered by hand is an import without a file
  'inspection import': { schema: begunImport, subject: 'file' },
  'inspection import ended': {
    schema: endedImport.omit({ valuesRefused: true, problem: true }).extend({ file: z.string(), import: z.number() }),
    subject: 'file',
    closes: 'import',
  },
  'inspection import taken back': { schema: importTakenBack, subject: 'file', closes: 'end' },
  'inspection kind': { schema: inspectionKind, subject: 'headings' },
  offset: { schema: offsetChange.omit(id), subject: 'sensor', closes: 'takesBack' },
} as const

export type FactKind = keyof typeof factKinds

/** What is recorded of a kind. */
export type FactEntry<Kind extends FactKind> = z.infer<(typeof factKinds)[Kind]['schema']>

/** A recorded fact; its id is unique among all kinds. */
export type Fact<Kind extends FactKind> = FactEntry<Kind> & { id: number }
