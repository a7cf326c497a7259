import { z } from 'zod'
import { time } from './quantities.js'
import { cause, missing } from './reason.js'

// What would make a verdict better, as data; core/sentences makes the line of it. Advice: nothing is commanded.

const leaves = z.object({
  at: time.describe('ms since 1970 UTC; of a job begun then'),
  error: z.number().describe('m; its nominal thermal error, |size error| + |largest drift|, on its worst axis'),
  uncertainty: z.number().describe('m; expanded, k = 2'),
  granted: z.number().describe('m; what heat may take of the tolerance'),
  fitBy: time
    .nullable()
    .describe('ms since 1970 UTC; error and uncertainty are low enough for fit then; null: they do not become so'),
})
/** The error that a remedy leaves, computed. */
export type Leaves = z.infer<typeof leaves>

export const remedy = z
  .discriminatedUnion('kind', [
    z.object({
      kind: z.literal('shut').describe('a door or vent that stands open and acts on this machine'),
      source: z.string(),
      name: z.string(),
      leaves,
    }),
    z.object({
      kind: z.literal('zero').describe('set the datum anew, or the first one'),
      firstPart: z.boolean().describe('with a first part measured; false: zeroed at one place'),
      first: z.boolean().describe('none is recorded'),
      leaves,
    }),
    z.object({ kind: z.literal('wait'), leaves }),
    z.object({ kind: z.literal('soak').describe('all is right but for the part, which is on its way'), leaves }),
    z.object({
      kind: z.literal('probe').describe('again, before the finishing cut: what drifted until then is taken out'),
      leaves,
    }),
    z.object({
      kind: z.literal('move'),
      machine: z.string().describe('fit for the same class now'),
      name: z.string(),
    }),
    z.object({
      kind: z.literal('sensor').describe('nothing can be said until it tells'),
      missing,
      others: z.number().describe('further nodes that are not known'),
    }),
    z.object({
      kind: z.literal('air').describe('the air at the machine brought to the reference temperature'),
      temperature: z.number().describe('°C'),
      leaves,
    }),
    z.object({
      kind: z.literal('surer').describe('what the error is most uncertain by, known exactly'),
      cause,
      leaves,
    }),
  ])
  .meta({ id: 'Remedy' })
/** The most effective thing to do about a verdict that is not fit. */
export type Remedy = z.infer<typeof remedy>
