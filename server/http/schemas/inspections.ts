import { z } from 'zod'
import { inspection, inspectionChoices, inspectionEntry, inspectionUse } from '../../../core/inspection/index.js'
import { time } from '../../../core/quantities.js'

const fault = z.object({
  line: z.number().describe('of the text, counted from 1; 0 for the table as a whole, or a single entry'),
  column: z.string().describe('heading of the cell; empty where the row as a whole is refused'),
  problem: z.string(),
  remedy: z.string(),
})
/** What is wrong with a row of a table of inspections. */
export type InspectionFault = z.infer<typeof fault>

/** what was understood of a table of inspections, and what is wrong with it */
export const inspectionPreview = z.object({
  readable: z.boolean().describe('false: the table as a whole cannot be read; the first fault says why'),
  choices: inspectionChoices.describe('as it was read: said now, or remembered'),
  remembered: z
    .object({ by: z.string(), at: time })
    .nullable()
    .describe('who said it of an earlier table with the same headings'),
  columns: z.array(
    z.object({
      heading: z.string(),
      example: z.string().describe('from the first row'),
      use: inspectionUse,
      unit: z.string().describe('that lengths or temperatures without one have here; empty: none'),
    }),
  ),
  missing: z.array(inspectionUse).describe('what is needed and neither a column nor a constant says'),
  datesUnclear: z.string().describe('a date that may have the day or the month first; empty: it is known'),
  unitUnclear: z.boolean().describe('lengths have no unit: none is said'),
  decimalComma: z.boolean(),
  repeatedHour: z.number().describe('rows whose time occurs twice, in the hour clocks repeat, told apart by the order'),
  rows: z.number(),
  good: z.number().describe('rows that can be taken and are not there yet'),
  alreadyThere: z.number().describe('rows that say what is on record'),
  refused: z.number().describe('rows of which nothing is taken'),
  faults: z.array(fault).describe('the first ones; all as CSV'),
  faultCounts: z.array(z.object({ column: z.string(), count: z.number() })),
  samples: z.array(inspectionEntry).describe('the first ones'),
  from: time.nullable(),
  to: time.nullable(),
})
export type InspectionPreview = z.infer<typeof inspectionPreview>

const inspectionImport = z.object({
  id: z.number(),
  at: time,
  by: z.string(),
  note: z.string(),
  file: z.string().describe('empty: entered by hand'),
  ended: z.object({ at: time, added: z.number(), alreadyThere: z.number(), refused: z.number() }).nullable(),
  takenBack: z.object({ at: time, by: z.string(), note: z.string() }).nullable(),
})
/** An import of inspections, or one that was entered by hand. */
export type InspectionImport = z.infer<typeof inspectionImport>

export const importedAnswer = z.object({
  import: inspectionImport,
  refused: z.array(fault).describe('the first rows that were not taken'),
})
export type ImportedAnswer = z.infer<typeof importedAnswer>

export const inspectionsAnswer = z.object({
  inspections: z.array(inspection).describe('newest cut first'),
  more: z.number().describe('further ones that fit what was asked'),
})

/** What there is to be investigated. */
export const featuresAnswer = z.object({
  features: z
    .array(
      z.object({
        machine: z.string(),
        part: z.string(),
        feature: z.string(),
        axis: z.string().nullable(),
        inspections: z.number(),
        rejects: z.number(),
        from: time,
        to: time,
      }),
    )
    .describe('newest cut first'),
})

export const importsAnswer = z.object({ imports: z.array(inspectionImport).describe('newest first') })
