import { z } from 'zod'

/** the body of every answer with a status of 400 or above */
export const refusal = z
  .object({
    error: z.object({
      what: z.string().describe('what is wrong'),
      where: z.string().describe('which part of the request, or of the service'),
      remedy: z.string().describe('what would be right'),
    }),
  })
  .meta({ id: 'Refusal' })
export type Refusal = z.infer<typeof refusal>
