import { z } from 'zod'
import { begunImport, endedImport, importTakenBack, recordingChoices } from '../../../core/facts.js'
import { time } from '../../../core/quantities.js'

const fault = z.object({
  line: z.number().describe('of the file, from 1; 0: the file as a whole'),
  column: z.string().describe('heading of the column; empty: the whole row'),
  kind: z.string(),
  problem: z.string(),
  remedy: z.string(),
})

const unit = z.enum(['°C', '°F', 'K', 'state', '1/min', '1/s'])

const sensorPart = z.object({
  sensor: z.string(),
  name: z.string(),
  heading: z.string().describe('of the column, or how the rows name it'),
  unit,
  unitWritten: z.boolean().describe('false: no unit is given, so it is taken as it is here'),
  readings: z.number(),
  lowest: z.number().describe('°C, before the offset; 0 or 1 for a state'),
  highest: z.number(),
})
export type SensorPart = z.infer<typeof sensorPart>

/** what was understood of a recording, and what is wrong with it */
const recordingContents = z.object({
  readable: z.boolean().describe('false: the file as a whole cannot be read, nothing of it can be imported'),
  form: z.enum(['rows', 'columns']).nullable().describe('a row for each reading, or a column for each sensor'),
  rows: z.number(),
  readings: z.number(),
  rowsRefused: z.number().describe('rows of which nothing is taken'),
  valuesRefused: z.number().describe('single cells refused in rows of which others are taken'),
  emptyCells: z.number(),
  codesLeftOut: z.number().describe('readings left out because they are error codes'),
  datesUnclear: z.string().describe('a date that may have the day or the month first; empty: it is known'),
  headingLine: z.number().describe('line of the headings'),
  columns: z
    .array(
      z.object({
        heading: z.string(),
        example: z.string().describe('from the first row'),
        use: z.string().describe('time, date, nothing, something else that is needed, or "sensor " and an id'),
        unit: unit.nullable(),
      }),
    )
    .describe('the first ones'),
  repeatedHour: z.number().describe('rows whose time occurs twice, in the hour clocks repeat, told apart by the order'),
  from: time.nullable(),
  to: time.nullable(),
  sensors: z.array(sensorPart),
  leftOut: z.array(z.object({ heading: z.string(), why: z.string() })).describe('columns nothing is taken from'),
  unknown: z.array(z.object({ name: z.string(), readings: z.number() })).describe('names that are no sensors'),
  samples: z.array(
    z.object({
      line: z.number(),
      time: z.string().describe('as written'),
      written: z.string(),
      sensor: z.string(),
      at: time,
      value: z.number().describe('°C, before the offset; 0 or 1 for a state'),
    }),
  ),
  faultCounts: z.array(z.object({ kind: z.string(), count: z.number() })),
  faults: z.array(fault).describe('the first ones of each kind'),
})
export type RecordingContents = z.infer<typeof recordingContents>

/** what somebody must know, or can say, before it is imported */
const preview = z.object({
  choices: recordingChoices,
  remembered: z
    .object({ by: z.string(), at: time })
    .nullable()
    .describe('who said it of an earlier recording with the same headings'),
  codes: z
    .array(z.object({ sensor: z.string(), name: z.string(), code: z.number(), readings: z.number() }))
    .describe('numbers that occur again and again and look like error codes'),
  contradictions: z.object({
    stored: z.number().describe('readings that say another thing than what is stored, which stays'),
    inFile: z.number().describe('readings that say another thing than one earlier in the file, which counts'),
    examples: z.array(
      z.object({
        sensor: z.string(),
        at: time,
        value: z.number().describe('°C, before the offset; 0 or 1 for a state'),
        before: z.number().describe('what counts'),
        where: z.enum(['stored', 'earlier in the file']),
      }),
    ),
  }),
  clockOffset: z
    .object({
      offset: z.string(),
      from: time,
      sensor: z.string(),
      with: z.string().describe('whose stored readings it was compared with; empty: its times alone tell it'),
    })
    .nullable()
    .describe('the fixed offset that the recorder’s clock seems to have'),
})
export type RecordingPreview = z.infer<typeof preview>

/** an import that somebody began */
export const importFact = begunImport.extend({
  id: z.number(),
  takenBack: importTakenBack.pick({ at: true, by: true, note: true }).nullable(),
  left: z.number().describe('of the readings it added, those that can be taken out, or still have to be'),
  ended: endedImport.nullable().describe('null while it runs, and when the service ended before it'),
})
export type ImportFact = z.infer<typeof importFact>

export const recordingState = z.object({
  id: z.number(),
  stage: z.enum(['nothing', 'receiving', 'reading', 'ready', 'importing', 'imported', 'stopped']),
  name: z.string(),
  size: z.number().describe('bytes'),
  part: z.number().nullable().describe('0..1 of what is under way'),
  largest: z.number().describe('bytes a recording may have'),
  contents: recordingContents.nullable(),
  preview: preview.nullable().describe('null until it was read through'),
  outcome: z
    .object({
      added: z.number(),
      alreadyThere: z
        .number()
        .describe('readings of a sensor and time that were stored before; those stay as they were'),
    })
    .nullable(),
  problem: z.string().describe('why it stopped; empty otherwise'),
  by: z.string(),
  at: time,
})
export type RecordingState = z.infer<typeof recordingState>
