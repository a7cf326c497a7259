import { z } from 'zod'
import { time } from '../quantities.js'
import { interval, restsOn } from './answer.js'

/** What changing sources would do to the air at a machine from now on. */
export const sourcesAhead = z
  .object({
    machine: z.string(),
    at: time.describe('ms since 1970 UTC; the moment it was computed for'),
    cannotBeTold: z
      .string()
      .nullable()
      .describe('why nothing can be said of any source, in words; then `sources` and `nodes` are empty'),
    restsOn: restsOn.nullable(),
    sources: z.array(
      z.object({
        source: z.string().describe('id, or `shop-heating` for the heating and cooling of the shop'),
        name: z.string().describe('as the shop calls it; empty for `shop-heating`'),
        kind: z.enum(['door', 'vent', 'heat source', 'heating']),
        active: z
          .boolean()
          .nullable()
          .describe('open or running now; of `shop-heating`, kept as in working hours; null: not known'),
        cannotBeTold: z.string().nullable().describe('why no plan can be made with it, in words'),
        effect: z
          .array(interval)
          .nullable()
          .describe(
            'what changing it now would do to the air here in 1 h and in 4 h, K; null where it cannot be told, or where a plan is asked for',
          ),
      }),
    ),
    step: z
      .number()
      .describe('s; between the values of `nodes`, the first of which is that of the interval that begins now'),
    nodes: z
      .array(
        z.object({
          node: z.string(),
          temperature: z.array(z.number()).describe('°C; under the plan'),
          change: z.array(z.number()).describe('K; what the plan does, against sources that stay as they are'),
          standardUncertainty: z
            .array(z.number())
            .describe('K; of that change, and of how far the model is off by itself'),
        }),
      )
      .describe('air and coolant of the machine; empty without a plan'),
  })
  .meta({ id: 'SourcesAhead' })
export type SourcesAhead = z.infer<typeof sourcesAhead>
