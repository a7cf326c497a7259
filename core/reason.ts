import { z } from 'zod'

// What the service says of a machine and of a sensor: the words that states and facts share.

/** ms since 1970 (UTC), as all times are */
export const time = z.number().describe('ms since 1970 UTC')

export const verdict = z.enum(['fit', 'settling', 'unfit', 'unknown'])
export type Verdict = z.infer<typeof verdict>

export const trust = z.enum(['ok', 'late', 'lost', 'suspect'])
export type Trust = z.infer<typeof trust>

export const reason = z.object({
  kind: z.enum([
    'growth',
    'drift',
    'bending',
    'workpiece',
    'uncertainty',
    'pretension',
    'missing',
    'stand-in',
    'waiting',
    'calibration',
  ]),
  text: z
    .string()
    .describe('in metric units: a complete part of a sentence, "X screw 3.1 K warmer than at the datum: X +18 µm"'),
  textInch: z.string().describe('in inches and °F'),
  axis: z.string().optional(),
  node: z.string().optional(),
  source: z.string().optional(),
  amount: z.number().describe('m; signed share in the error, for sorting'),
})
export type Reason = z.infer<typeof reason>
