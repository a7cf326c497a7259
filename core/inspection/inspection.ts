import { z } from 'zod'
import { recordingChoices } from '../facts.js'
import { celsius, kelvin, metres, numberOrNull, time } from '../quantities.js'

// A part that was measured after it was cut, as somebody entered it. SI units; times in ms since 1970 (UTC).

/** what a longer axis does to the size: a bore's depth grows, a wall that is left shrinks */
export const longerAxis = z.enum(['larger', 'smaller'])

/**
 * How the axis makes the size. One side: a face is cut, the other one is where the part is held or zeroed, so that a
 * shift of the zero counts once. Both sides: between two faces that are cut in the same set-up, so that it does not count.
 * Diameter: by a radius, so that it counts twice.
 */
export const cutSides = z.enum(['one side', 'both sides', 'diameter'])
export type CutSides = z.infer<typeof cutSides>

/** when the machine was zeroed for it: at its datum in force, or anew for each part */
export const zeroedFor = z.enum(['datum', 'each part'])

/** what is measured with: its own length changes with its temperature too */
const gauge = z
  .string()
  .max(200)
  .describe('material of what it was measured with; "at 20 °C" when its reading holds at 20 °C; empty: not said')

const text = z.string().max(200)

export const inspectionEntry = z.object({
  part: text.min(1),
  serial: text.describe('empty: none'),
  machine: text.describe('id'),
  feature: text,
  axis: text.nullable().describe('id; null: not known'),
  longer: longerAxis.describe('what a longer axis does to the size'),
  cut: cutSides,
  zeroed: zeroedFor,
  nominal: metres,
  lower: metres.nullable().describe('m; the smallest size that is good; null: none is set'),
  upper: metres.nullable().describe('m; the largest size that is good'),
  measured: metres.describe('m; as it was read'),
  temperature: celsius.nullable().describe('°C of the part when it was measured; null: 20 °C'),
  temperatureUncertainty: kelvin.nullable().describe('K, standard; null: not said'),
  gauge,
  from: time.describe('ms since 1970 UTC; the cut began'),
  to: time.describe('ms since 1970 UTC; the cut ended; the same where one time is known'),
  material: text.describe('of the part, as in the table of materials; empty: not said'),
  tool: text.describe('empty: not said; so are lot, set-up and who'),
  toolCount: numberOrNull('parts, minutes or metres that the tool had cut; null: not said'),
  sequence: numberOrNull('its number in a row of parts; null: not said'),
  lot: text,
  setup: text,
  who: text,
  note: z.string().max(500),
  other: z.record(text, text).describe('whatever else was written of it, by heading'),
})
/** A measured feature of a part, as it is entered. */
export type InspectionEntry = z.infer<typeof inspectionEntry>

export const inspection = inspectionEntry
  .extend({ id: z.number(), import: z.number().describe('id of the import it came with') })
  .meta({ id: 'Inspection' })
/** A measured feature of a part, as it is on record. */
export type Inspection = z.infer<typeof inspection>

/** What a column of a table of inspections can be. */
export const inspectionUse = z.enum([
  'part',
  'serial',
  'machine',
  'feature',
  'axis',
  'longer axis',
  'cut',
  'zeroed',
  'nominal',
  'lower limit',
  'upper limit',
  'tolerance',
  'measured',
  'deviation',
  'time',
  'date',
  'clock',
  'end',
  'width',
  'temperature',
  'temperature uncertainty',
  'gauge',
  'material',
  'tool',
  'tool count',
  'sequence',
  'lot',
  'set-up',
  'who',
  'note',
  'kept beside',
  'nothing',
])
export type InspectionUse = z.infer<typeof inspectionUse>

/** What a table of inspections does not say itself, as somebody chose it in the preview. */
export const inspectionChoices = z.object({
  columns: z.record(z.string().max(1000), inspectionUse).default({}).describe('by heading'),
  constants: z
    .partialRecord(inspectionUse, z.string().max(200))
    .default({})
    .describe('what holds for every row, as it would be written in a cell: machine, part, axis, material …'),
  unit: z
    .enum(['mm', 'in', 'µm', 'thou'])
    .nullable()
    .default(null)
    .describe('of lengths without a unit, in a column without one; null: they are refused'),
  order: recordingChoices.shape.order,
  offset: recordingChoices.shape.offset,
})
export type InspectionChoices = z.infer<typeof inspectionChoices>

/** How tables of inspections with the same headings are to be read from then on. */
export const inspectionKind = z.object({
  at: time,
  by: z.string(),
  note: z.string(),
  headings: z.string().describe('SHA-256 of the headings'),
  choices: inspectionChoices,
})
