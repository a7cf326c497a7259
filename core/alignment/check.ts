import { z } from 'zod'
import { numberOrNull, signature } from '../quantities.js'
import { time } from '../reason.js'

const slope = z.number().describe('m/m')

/** What is checked. */
export const alignmentKind = z.enum(['level', 'squareness', 'spindle tram'])
export type AlignmentKind = z.infer<typeof alignmentKind>

const reading = z.object({
  direction: z.string().describe('along X, X to Y, front to rear …'),
  value: slope,
  reversed: slope
    .optional()
    .describe('m/m; as read with the instrument turned end for end, where the method asks for it'),
})

export const alignmentCheck = z
  .object({
    id: z.number(),
    machine: z.string(),
    kind: alignmentKind,
    at: time,
    instrument: z.string(),
    readings: z.array(reading).min(1),
    due: z.string().optional().describe('ISO 8601 day; by its end it must be checked again'),
    enteredAt: time,
    ...signature,
    temperatures: z
      .record(z.string(), z.number())
      .describe('°C by node, as believed then; those not known are left out'),
    moving: z
      .object({ node: z.string(), change: z.number().describe('K in the hour before') })
      .nullable()
      .describe('the body that changed most in the hour before, where that was too much: it was still settling'),
  })
  .meta({ id: 'AlignmentCheck' })
/** Level, squareness or spindle tram as somebody found it, and the machine's thermal state then. */
export type AlignmentCheck = z.infer<typeof alignmentCheck>

const followsAnswer = z.object({
  kind: alignmentKind,
  direction: z.string(),
  checks: z.number(),
  finding: z.enum(['follows', 'does not', 'cannot be told']),
  node: z.string().nullable().describe('whose temperature it goes with best'),
  slope: numberOrNull('m/m/K'),
  explained: numberOrNull('0..1; share of the variance that this temperature explains'),
  chance: numberOrNull('0..1; how often as much is explained by some node when the checks are shuffled'),
})
/** Whether what was found from check to check goes with a temperature of the machine. */
export type Follows = z.infer<typeof followsAnswer>

export const alignmentAnswer = z.object({
  checks: z.array(alignmentCheck).describe('in order of time'),
  due: z
    .array(z.object({ kind: alignmentKind, due: z.string(), overdue: z.boolean() }))
    .describe('by the last check of each kind that has a due date'),
  follows: z.array(followsAnswer),
})
/** What is on record of a machine's alignment, and what that says. */
export type AlignmentAnswer = z.infer<typeof alignmentAnswer>
