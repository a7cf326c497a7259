import { z } from 'zod'
import { kelvin, seconds } from '../quantities.js'

const relative = z.number().describe('relative')

/** why a time constant that was identified must not be used */
export const refusal = z
  .discriminatedUnion('kind', [
    z.object({ kind: z.literal('few readings'), hours: z.number(), needed: z.number() }).describe('h'),
    z.object({ kind: z.literal('moved little'), moved: kelvin, needed: kelvin }),
    z.object({ kind: z.literal('uncertain'), allowed: relative }),
    z.object({ kind: z.literal('at the bounds'), shortest: seconds, longest: seconds }),
    z.object({ kind: z.literal('two speeds'), shortest: seconds, longest: seconds }),
    z.object({ kind: z.literal('residuals alike'), correlation: z.number() }),
    z.object({ kind: z.literal('configured is as sure'), configured: relative, found: relative }),
    z.object({
      kind: z.literal('follows another'),
      follows: z.string().describe('name of what it is configured to follow'),
      better: z.string().describe('name of what explains it better'),
      timeConstant: seconds.describe('s; by what it is configured to follow'),
      otherwise: seconds.describe('s; by the other'),
    }),
    z.object({
      kind: z.literal('told').describe('a sentence of before it was kept as data, in metric units'),
      text: z.string(),
    }),
  ])
  .meta({ id: 'IdentificationRefusal' })
export type Refusal = z.infer<typeof refusal>
