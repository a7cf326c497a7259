import { z } from 'zod'
import type { Identification } from '../../../core/settling/index.js'

const time = z.number().describe('ms since 1970 UTC')

export const identification = z
  .object({
    id: z.number(),
    machine: z.string(),
    node: z.string(),
    at: time.describe('ms since 1970 UTC; when it was identified'),
    from: time.describe('ms since 1970 UTC; the history it came from'),
    to: time,
    follows: z.string().describe('id of the node that it follows, as configured'),
    bestAir: z.string().describe('what explains it best of all that was compared'),
    advantage: z.number().describe('log-likelihood by which that is better than what is configured; 0 when it is that'),
    sensors: z.string().describe('the sensors it came from'),
    accepted: z.boolean().describe('true: used instead of the configured time constant'),
    timeConstant: z.number().nullable().describe('s'),
    uncertainty: z.number().nullable().describe('relative, standard: the fit and the form of the model'),
    standardError: z.number().nullable().describe('relative; of the fit alone'),
    steadyExcess: z.number().nullable().describe('K above what it follows, the sensors’ difference included'),
    fastShare: z.number().nullable().describe('0..1; part of the reading that follows at once'),
    covered63: z.number().nullable().describe('s; both speeds together to 63.2 % of a step'),
    hours: z.number().describe('with readings of both'),
    moved: z.number().nullable().describe('K; how far the surroundings moved it'),
    residualCorrelation: z.number().nullable(),
    refusal: z.string().describe('why it is not used; empty when it is'),
    tooLittle: z.boolean().describe('refused only because the history tells too little'),
  })
  .meta({ id: 'Identification' }) satisfies z.ZodType<Identification>
