import { z } from 'zod'
import { time } from './quantities.js'

// One cause that keeps most machines from being fit, said once for the shop.

const usual = z.object({
  likely: time.describe('ms since 1970 UTC; of the coming morning: the median of when machines became fit'),
  earliest: time,
  latest: time,
  days: z.number().describe('days of the same kind (workdays, or Saturdays and Sundays) in the last two weeks'),
})
/** From when machines have been fit on mornings like the coming one. */
export type UsualMorning = z.infer<typeof usual>

export const commonCause = z
  .object({
    workClass: z.string(),
    kind: z.enum(['air falling', 'air rising', 'air cold', 'air warm']),
    machines: z.array(z.string()).describe('ids of those that are not fit through it'),
    of: z.number().describe('machines in all'),
    air: z.number().describe('°C; mean of the air at those machines'),
    reference: z.number().describe('°C'),
    usual: usual.nullable().describe('null while too few such days are on record'),
  })
  .meta({ id: 'CommonCause' })
/** What most machines of a work class have in common that are not fit. */
export type CommonCause = z.infer<typeof commonCause>
