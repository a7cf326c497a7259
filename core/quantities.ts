import { z } from 'zod'

// Quantities as they stand in facts and answers, each with its unit, and what else stands in many of them.

export const time = z.number().describe('ms since 1970 UTC')
export const span = z.object({ from: time, to: time })
export const seconds = z.number().describe('s')
export const celsius = z.number().describe('°C')
export const kelvin = z.number().describe('K')
export const metres = z.number().describe('m')

/** a number that may not be known: null then. @param meaning its unit, and what it is */
export const numberOrNull = (meaning: string) => z.number().nullable().describe(meaning)

export const formerly = z
  .array(z.string())
  .optional()
  .describe('ids it had before: what is stored under them is its history')

/** who did it, and what there is to say about it */
export const signature = { by: z.string(), note: z.string() }
export type Signature = z.infer<z.ZodObject<typeof signature>>
